#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/density_surface.h"

namespace leeward::command {
namespace {

std::string densityInWords(const study::DensitySurfaceRequest& request, const study::DensitySurface& out) {
  const bool is_relative = !request.relative_to.source.empty();
  std::string text = fmt::format("{} {} spread by {:.4g} m", out.points, out.points == 1 ? "point" : "points", out.bandwidth_m);
  if (out.outside > 0) text += fmt::format(" ({} outside the areas left out)", out.outside);
  if (out.highest_at) {
    const std::string place = out.is_lon_lat ? fmt::format("{:.5f}, {:.5f} (longitude, latitude)", out.highest_at->x, out.highest_at->y) : fmt::format("{:.6g}, {:.6g}", out.highest_at->x, out.highest_at->y);
    text += is_relative ? fmt::format("; the highest share, {:.3g} a point of {}, is at {}.", out.highest, request.relative_to.source, place)
                        : fmt::format("; the densest spot, {:.3g} points a hectare, is at {}.", out.highest * 1e4, place);
  } else {
    text += "; nowhere are there enough points to divide by.";
  }
  return text + (is_relative ? " Shares hang on few points at the edges of what was looked at." : " Hills rise where people looked and reported, not only where dogs are; another bandwidth shows other hills.");
}

}  // namespace

void addDensity(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("density", "Kernel density of points as a GeoTIFF");
  auto request = std::make_shared<study::DensitySurfaceRequest>();
  verb->add_option("POINTS", request->points.source, "File with points")->required();
  verb->add_option("--bandwidth", request->bandwidth, "Metres (gaussian: standard deviation; quartic: radius), or scott, likelihood or berman to read it from the points")->required()->type_name("M");
  verb->add_option("--cell", request->cell_m, "Side of a cell in metres")->required()->check(numberFrom(0, 1e7, true))->type_name("M");
  verb->add_option_function<std::string>("--kernel", [request](const std::string& kernel) { request->kernel = kernel == "quartic" ? analysis::KernelForm::Quartic : analysis::KernelForm::Gaussian; }, "Form of a point's hill")
      ->check(CLI::IsMember({"gaussian", "quartic"}))->default_str("gaussian");
  const std::map<std::string, analysis::EdgeCorrection> edges = {{"none", analysis::EdgeCorrection::None}, {"place", analysis::EdgeCorrection::Place}, {"point", analysis::EdgeCorrection::Point}};
  verb->add_option_function<std::string>("--edge", [request, edges](const std::string& edge) { request->edge = edges.at(edge); },
                                         "Make good what lies beyond the edge: place (Diggle 1985), point (Jones 1993: every point counts one)")
      ->check(CLI::IsMember({"none", "place", "point"}))->default_str("none");
  verb->add_option("--inside", request->inside.source, "Areas in which points could be (without them: the points' box)")->type_name("AREAS");
  verb->add_option("--relative-to", request->relative_to.source, "Points to divide by, such as looks")->type_name("POINTS");
  addPointColumns(*verb, request->points);
  addOutput(*verb, terminal, {".tif", ".tiff"})->required();
  addCommonOptions(*verb, terminal, {.seed = true, .strict = true});
  verb->footer("Values are points a square metre; with --relative-to points per point of the other file, empty where fewer than one of those lies within the kernel.\n"
               "--x, --y and --crs are meant for both files of points. The surface lies in a plane in metres that is true to scale.\n"
               "scott: for one broad heap (Scott 1992). likelihood: the points foretell each other best. berman: least error for clustered points (Berman & Diggle 1989).");
  verb->callback([request, &terminal] {
    request->seed = terminal.seed;
    request->output = terminal.output;
    request->inside.crs = request->points.crs;
    request->relative_to.x_column = request->points.x_column, request->relative_to.y_column = request->points.y_column, request->relative_to.crs = request->points.crs;
    auto progress = terminal.progress();
    const auto out = study::densitySurface(*request, progress);
    if (!out) return terminal.fail(out.problem());
    terminal.say(densityInWords(*request, *out));
    for (const auto& remark : out->remarks) terminal.remark(remark);
    if (!out->refused.empty()) terminal.say(fmt::format("{} rows have no place and took no part, the first in line {}", out->refused.size(), out->refused.front().line));
    if (terminal.strict && !out->refused.empty()) terminal.status = 3;
    if (!terminal.json) return terminal.say(fmt::format("{} x {} cells in {} ({})", out->columns, out->rows, terminal.output, out->frame));
    terminal.print(fmt::format("{{\"output\":{},\"points\":{},\"outside\":{},\"refused\":{},\"bandwidth_m\":{},\"highest\":{},\"columns\":{},\"rows\":{}}}\n", jsonText(terminal.output), out->points, out->outside,
                               out->refused.size(), out->bandwidth_m, out->highest, out->columns, out->rows));
  });
}

}  // namespace leeward::command
