#include <memory>

#include "viewer/study/take_in.h"

#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"

namespace leeward::command {
namespace {

void show(const study::TakeInRequest& request, const study::TakeInOutcome& outcome, Terminal& terminal) {
  for (const auto& line : study::describe(request, outcome)) terminal.say(line);
  if (terminal.json) {
    nlohmann::ordered_json json{{"kind", request.kind}, {"read", outcome.report.read}, {"kept", outcome.report.kept},
                                {"refused", outcome.report.refusedRows()}, {"refused_file", outcome.refused_file},
                                {"same_file_before", outcome.ledger.same_file_before}, {"added", outcome.ledger.added},
                                {"changed", outcome.ledger.changed}, {"known", outcome.ledger.known}, {"recognised", outcome.ledger.recognised},
                                {"gone", outcome.ledger.gone.size()}, {"alike", outcome.ledger.alike.size()}, {"alike_file", outcome.alike_file}, {"remarks", outcome.report.remarks}};
    terminal.print(json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n");
  }
  terminal.refused(outcome.report.refusedRows(), outcome.refused_file);
}

}  // namespace

void addTakeIn(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("take-in", "Bring a file into a study");
  auto request = std::make_shared<study::TakeInRequest>();
  verb->add_option("DIR", request->folder, "Folder of the study")->required();
  verb->add_option("KIND", request->kind,
                   "visits, sightings, stock, photos; or a public layer: premises, streets, blocks, areas, census, heat, weather, jurisdictions, boundary, water, parks")->required();
  verb->add_option("FILE", request->file, "FILE or FILE#LAYER; for photos a picture or a folder of them")->required();
  verb->add_option("--map", request->map, "Corrections of guessed columns: field=Column,...");
  verb->add_option("--crs", request->crs, "Coordinates of a file that doesn't say or is wrong: EPSG:n, or local")->type_name("CRS")->check(crsText());
  verb->add_option("--unit", request->unit, "Unit of a weather or heat file: C or F");
  verb->add_option("--measures", request->heat_kind, "What a heat layer measures")->check(CLI::IsMember({"land surface", "air", "index", "proxy"}));
  verb->add_option("--year", request->year, "Year of the data, as printed on sheets");
  verb->add_option("--source", request->source, "Who published the data");
  verb->add_option("--licence", request->licence, "Under which terms");
  verb->add_option("--lists", request->lists, "Folder for the lists of refused and doubtful rows, instead of the study's out (sealed study: nowhere)");
  verb->add_flag("--anyway", request->anyway, "Take it in even if it looks like another kind of file, or like another place's");
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto outcome = study::takeIn(*request, progress);
    if (!outcome) return terminal.fail(outcome.problem());
    show(*request, *outcome, terminal);
  });
}

}  // namespace leeward::command
