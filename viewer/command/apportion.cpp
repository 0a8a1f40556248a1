#include <memory>
#include <string>
#include <string_view>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/base/text.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/apportion_areas.h"

namespace leeward::command {
namespace {

struct ApportionCall {
  study::ApportionAreasRequest areas;
  std::string counts, means, margins, derive, by = "area";
};

Result<void> readCall(ApportionCall& call) {
  constexpr std::string_view kPoints = "points:";
  LEEWARD_ASSIGN(counts, study::columnList(call.counts, "--counts"));
  LEEWARD_ASSIGN(means, study::columnList(call.means, "--means"));
  LEEWARD_ASSIGN(margins, study::columnList(call.margins, "--margins"));
  call.areas.counts = std::move(counts), call.areas.means = std::move(means), call.areas.margins = std::move(margins);
  LEEWARD_ASSIGN(words, study::columnList(call.derive, "--derive"));
  LEEWARD_ASSIGN(derived, study::derivedFigures(words));
  call.areas.derived = std::move(derived);
  call.areas.to.crs = call.areas.points.crs = call.areas.from.crs;
  if (std::string_view(call.by).starts_with(kPoints) && call.by.size() > kPoints.size()) call.areas.points.source = call.by.substr(kPoints.size());
  else if (call.by != "area") return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is no way to apportion", call.by), "--by", "Use area, or points:FILE"};
  return {};
}

/// "people: 180 on the sources, 147 on the targets, 33 in none".
void sayTotals(const study::ApportionedAreas& found, const Terminal& terminal) {
  for (const auto& figure : found.figures) {
    if (!figure.is_mean) {
      terminal.say(fmt::format("{}: {:.6g} in all, {:.6g} on the target areas", figure.column, figure.source_total, figure.placed_total));
    }
    if (figure.missing_sources > 0) terminal.say(fmt::format("{}: {} source areas have no value", figure.column, figure.missing_sources));
  }
}

std::string totalsAsJson(const study::ApportionedAreas& found) {
  auto totals = nlohmann::ordered_json::array();
  for (const auto& figure : found.figures) {
    nlohmann::ordered_json one{{"column", figure.column}, {"kind", figure.is_mean ? "mean" : "count"}, {"missing_sources", figure.missing_sources}};
    if (!figure.is_mean) one["source_total"] = figure.source_total, one["placed_total"] = figure.placed_total;
    totals.push_back(std::move(one));
  }
  return "\"totals\":" + totals.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace

void addApportion(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("apportion", "Carry figures of one set of areas over to another");
  auto call = std::make_shared<ApportionCall>();
  verb->add_option("FROM", call->areas.from.source, "Areas with the figures")->required();
  verb->add_option("TO", call->areas.to.source, "Areas that get them")->required();
  verb->add_option("--counts", call->counts, "Columns of FROM that are counts (people, dogs): they are split")->type_name("COLUMN,...");
  verb->add_option("--means", call->means, "Columns that are means, rates or shares: they are averaged")->type_name("COLUMN,...");
  verb->add_option("--margins", call->margins, "Columns with their margins of error, in the order of the counts and then the means; a_moe,,c_moe where one has none")
      ->type_name("COLUMN,...");
  verb->add_option("--by", call->by, "What a figure goes with: area (people stand evenly), or points:FILE (as those points, say address points, stand)")
      ->capture_default_str()->type_name("area|points:FILE");
  verb->add_option("--weight", call->areas.weight, "Column of the points' file: what each stands for, such as housing units (a file of areas will do: each stands at a point inside)")->type_name("COLUMN");
  verb->add_option("--derive", call->derive, "Figures made of those: NAME=sum:A+B, NAME=proportion:A/B (a part of its whole), NAME=ratio:A/B, NAME=product:A*B, with margins where all parts have them")->type_name("NAME=KIND:A/B,...");
  verb->add_flag("--reliability", call->areas.with_reliability,
                 "For each figure with a margin (90 %) its coefficient of variation, and high (up to 15 %), medium (up to 30 %) or low: limits of several state data centres, from memory; the ACS handbook sets none");
  verb->add_option("--crs", call->areas.from.crs, "Coordinates of files that don't say: EPSG:n, or local for plane metres")->type_name("CRS")->check(crsText());
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal);
  verb->footer("The figures become columns of TO under their own names. Medians are refused: they are neither counts nor means. Margins follow the formulas of the\n"
               "American Community Survey; they hold the sampling error only. Special values of the census (-666666666, (X), 250,000+) are taken as missing.");
  verb->callback([call, &terminal] {
    if (auto read = readCall(*call); !read) return terminal.fail(read.problem());
    auto progress = terminal.progress();
    auto found = study::apportionAreas(call->areas, progress);
    if (!found) return terminal.fail(found.problem());
    sayTotals(*found, terminal);
    terminal.deliver(found->layer, {.members = totalsAsJson(*found)});
  });
}

}  // namespace leeward::command
