#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/neighbour_options.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/hotspot_areas.h"

namespace leeward::command {
namespace {

constexpr int kMostPermutations = 99'999;

nlohmann::ordered_json testAsJson(const analysis::PatternTest& test, const char* name) {
  nlohmann::ordered_json json{{name, test.statistic}, {"expectation", test.expectation}, {"variance", test.variance}, {"z", test.z}, {"p", test.p}, {"areas", test.areas}};
  if (!test.undefined.empty()) json["undefined"] = test.undefined;
  return json;
}

/// Whether like lies by like over the whole, for somebody who doesn't know the statistic.
std::string wholeInWords(const analysis::PatternTest& moran) {
  if (!moran.undefined.empty()) return "There is no pattern to speak of: " + moran.undefined;
  const char* finding = moran.p > 0.05   ? "Over the whole, neighbours are not more alike than chance would have it"
                        : moran.z > 0 ? "Over the whole, neighbours are more alike than chance would have it"
                                      : "Over the whole, neighbours are less alike than chance would have it";
  return fmt::format("{} (Moran's I {:.3f}, expected {:.3f}, z {:.2f}, p {:.2g})", finding, moran.statistic, moran.expectation, moran.z, moran.p);
}

std::string areasInWords(const study::HotspotAreas& found, int permutations) {
  if (found.tested == 0) return "No area could be tested";
  if (permutations == 0) return "Without permutations no area has a p, so none is said to stand out";
  std::string text = fmt::format("Of {} areas {} stand out as high among high and {} as low among low; of these findings about {:.0f} % may be false", found.tested, found.high, found.low,
                                 100 * study::kFalseShare);
  if (found.high + found.low == 0) text = fmt::format("None of {} areas stands out when all are tested at once, which doesn't show that they are alike", found.tested);
  if (found.needed_together > 1) {
    text += fmt::format("; with {} permutations only {} or more together could", permutations, found.needed_together);
    if (permutations < kMostPermutations) text += fmt::format(": try --permutations {}", std::min(kMostPermutations, 10 * (permutations + 1) - 1));
  }
  return text;
}

void sayFindings(const Terminal& terminal, const study::HotspotAreas& found, const study::HotspotAreasRequest& request) {
  terminal.say(fmt::format("Neighbours: {}", found.neighbours));
  terminal.say(wholeInWords(found.moran));
  terminal.say(areasInWords(found, request.permutations));
  terminal.say(request.exposure.empty() ? "Counts follow where people live and where anybody looked: a cluster of them is no cluster of need. Add --exposure (doors looked at, say) for rates"
                                        : "It shows where rates lie together, not why, and nothing of places where nobody looked");
}

}  // namespace

void addHotspots(CLI::App& app, Terminal& terminal) {
  using study::HotspotStatistic;
  static const std::map<std::string, HotspotStatistic> kStatistics = {{"gistar", HotspotStatistic::GiStar}, {"gi", HotspotStatistic::Gi}, {"eb-moran", HotspotStatistic::EbMoran}};
  auto* verb = app.add_subcommand("hotspots", "Where high values lie by high ones: Gi*, local and global Moran, Geary, general G");
  struct Call {
    study::HotspotAreasRequest areas;
    std::string weights = "share", statistic = "gistar", adjust = "bh";
  };
  auto call = std::make_shared<Call>();
  verb->add_option("AREAS", call->areas.areas.source, "Areas or points; with edges any table")->required();
  verb->add_option("--events", call->areas.events, "Column with counts, or with any measure")->required()->type_name("COLUMN");
  verb->add_option("--exposure", call->areas.exposure, "Column with what they are counted from, such as planned doors: rates are looked at")->type_name("COLUMN");
  addNeighbours(*verb, call->areas.neighbours);
  verb->add_option("--weights", call->weights, "In Moran and Geary an area's neighbours share one weight, or have equal ones")->check(CLI::IsMember({"share", "equal"}))->capture_default_str();
  verb->add_option("--permutations", call->areas.permutations, "How often neighbours' values are drawn anew; 0 for none")->check(CLI::Range(0, kMostPermutations))->capture_default_str();
  verb->add_option("--statistic", call->statistic, "An area with its neighbours, the neighbours alone, or all on rates put on one footing (Assuncao & Reis 1999)")
      ->check(CLI::IsMember(&kStatistics))->capture_default_str();
  verb->add_option("--adjust", call->adjust, "False findings among many areas: Benjamini & Hochberg 1995, or Benjamini & Yekutieli 2001")->check(CLI::IsMember({"bh", "by"}))->capture_default_str();
  addPointColumns(*verb, call->areas.areas);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.seed = true, .strict = true});
  verb->footer("New columns: gstar_z, gstar_p, gstar_q (gi_z, gi_p, gi_q with gi), moran_i, moran_p, moran_q. p: two-sided, by permutation, the area's own value held; q: p adjusted for\n"
               "all areas. Getis and Ord's statistics give each neighbour the weight one, Gi* the area too. With --json also moran, geary and general_g over the whole. Areas without\n"
               "a value, exposure or neighbour stay blank. It shows where values lie together, not why; counts without exposure follow where people live and where anybody looked.");
  verb->callback([call, &terminal] {
    auto& request = call->areas;
    request.weights = call->weights == "equal" ? analysis::WeightStyle::Equal : analysis::WeightStyle::Share;
    request.statistic = kStatistics.at(call->statistic);
    request.adjust = call->adjust == "by" ? analysis::AdjustBy::BenjaminiYekutieli : analysis::AdjustBy::BenjaminiHochberg;
    request.seed = terminal.seed;
    auto progress = terminal.progress();
    auto found = study::hotspotAreas(request, progress);
    if (!found) return terminal.fail(found.problem());
    sayFindings(terminal, *found, request);
    const nlohmann::ordered_json whole{{"moran", testAsJson(found->moran, "i")}, {"geary", testAsJson(found->geary, "c")}, {"general_g", testAsJson(found->general_g, "g")},
                                       {"neighbours", found->neighbours}, {"islands", found->islands}, {"tested", found->tested}, {"high", found->high}, {"low", found->low}};
    const std::string object = whole.dump();
    terminal.deliver(found->layer, {.refused = std::move(found->refused), .members = object.substr(1, object.size() - 2)});
  });
}

}  // namespace leeward::command
