#include <algorithm>
#include <memory>
#include <numeric>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"
#include "viewer/sheets/study_outputs.h"
#include "viewer/study/crew_template.h"
#include "viewer/study/run_study.h"

namespace leeward::command {
namespace {

struct NextRequest {
  study::DoorsRequest doors;
  std::string log;  ///< where the doors go as a log to fill in
  bool by_doors = false;
  std::size_t top = 20;
};

std::vector<std::size_t> firstRows(std::size_t count, std::size_t rows) {
  std::vector<std::size_t> first(std::min(count, rows));
  std::iota(first.begin(), first.end(), std::size_t{0});
  return first;
}

void showBlocks(const NextRequest& request, Terminal& terminal) {
  auto progress = terminal.progress();
  auto run = request.doors.run;
  run.top_k = static_cast<int>(request.top);
  auto outcome = study::runStudy(run, progress);
  if (!outcome) return terminal.fail(outcome.problem());
  const auto& findings = *outcome->findings;
  Layer top;
  top.name = "next";
  top.table = findings.next.take(firstRows(request.top, findings.next.rows()));
  if (terminal.json && terminal.output.empty()) {
    nlohmann::ordered_json json{{"as_of", toIso(findings.as_of)}, {"level", findings.level}, {"k", request.top}};
    json["blocks"] = nlohmann::ordered_json::parse(tableAsJson(top.table));
    return terminal.print(json.dump() + "\n");
  }
  terminal.say(fmt::format("Where next, as of {}; intervals at {:.0f} %", toWords(findings.as_of), findings.level * 100));
  terminal.deliver(top);
}

/// The doors as an empty log of visits: a row a door, with all that is known before the knock. Without its day a row is no look, so take-in leaves the
/// doors that nobody came to aside.
std::string logOf(const Table& doors) {
  const auto columns = importers::templateColumns(importers::Kind::Visits, importers::Language::English);
  std::vector<std::string> headings;
  for (const auto& column : columns) headings.push_back(column.heading);
  std::string text = join(headings, ",") + "\n";
  for (std::size_t row = 0; row < doors.rows(); ++row) {
    std::vector<std::string> cells;
    for (const auto& column : columns) {
      std::string cell;
      if (column.field == "crew") cell = "Crew " + doors.find("crew")->asText(row);
      if (column.field == "address") cell = doors.find("address")->asText(row);
      if (column.field == "look") cell = "knock";
      if (column.field == "why_here") cell = doors.find("what_due")->isMissing(row) ? "planned" : "return";
      cells.push_back(csvField(cell));
    }
    text += join(cells, ",") + "\n";
  }
  return text;
}

void showDoors(const NextRequest& request, Terminal& terminal) {
  auto progress = terminal.progress();
  auto doors = study::doorsToKnock(request.doors, progress);
  if (!doors) return terminal.fail(doors.problem());
  if (doors->doors.rows() == 0) terminal.remark(fmt::format("no door fits into {} h, or none is left to knock at", request.doors.hours));
  terminal.say(fmt::format("{} doors for {} and {} h. Permission before entering; go in pairs; this list holds client data.", doors->doors.rows(),
                           request.doors.crews == 1 ? "one crew" : fmt::format("{} crews", request.doors.crews), request.doors.hours));
  if (!request.log.empty()) {
    if (auto written = writeFile(request.log, logOf(doors->doors.table), true); !written) return terminal.fail(written.problem());
    terminal.say(request.log + " is the log to fill in: give the doors you came to their date, then leeward take-in DIR visits " + request.log);
  }
  if (terminal.output.ends_with(".pdf")) {
    auto written = sheets::writeDoorSheets(*doors, request.doors.hours, request.doors.crews, terminal.output, progress);
    if (!written) return terminal.fail(written.problem());
    for (const auto& file : *written) terminal.say(file);
    if (terminal.json) terminal.print("{\"output\":" + jsonText(terminal.output) + "}\n");
    return;
  }
  terminal.deliver(doors->doors, {.owner_only = true});
}

}  // namespace

void addNext(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("next", "Where next: blocks by the worth of an hour, or the doors to knock");
  auto request = std::make_shared<NextRequest>();
  verb->add_option("DIR", request->doors.run.folder, "Folder of the study")->required();
  verb->add_option("--top", request->top, "How many blocks")->check(CLI::Range(std::size_t{1}, std::size_t{1000000}))->capture_default_str();
  addDay(*verb, "--as-of", request->doors.run.as_of, "Figures as of the end of this day, instead of the study file's");
  verb->add_flag("--doors", request->by_doors, "The doors to knock, in walking order");
  verb->add_option("--hours", request->doors.hours, "Hours of each crew (with --doors)")->check(numberFrom(0, 24, true))->type_name("H")->capture_default_str();
  verb->add_option("--log", request->log, "Write the doors as a log to fill in too (.csv), which take-in reads (with --doors)")->type_name("FILE")->check([](const std::string& file) { return file.ends_with(".csv") ? std::string() : "a log is written as .csv"; });
  verb->add_option("--crews", request->doors.crews, "How many crews (with --doors)")->check(CLI::Range(1, 100))->capture_default_str();
  addOutput(*verb, terminal, {".csv", ".xlsx", ".gpkg", ".geojson", ".fgb", ".pdf"}, "; .pdf only with --doors: a door sheet for each crew");
  addCommonOptions(*verb, terminal, {.seed = true, .level = true});
  verb->callback([request, verb, &terminal] {
    if (verb->count("--seed") > 0) request->doors.run.seed = terminal.seed;
    if (verb->count("--level") > 0) request->doors.run.level = terminal.level;
    if (!request->by_doors && !request->log.empty()) return terminal.fail({ProblemCode::InvalidArgument, "only doors make a log", "--log", "Add --doors"});
    if (!request->by_doors && terminal.output.ends_with(".pdf")) {
      return terminal.fail({ProblemCode::InvalidArgument, "only doors make a door sheet", terminal.output, "Add --doors, or choose .csv or .xlsx"});
    }
    request->by_doors ? showDoors(*request, terminal) : showBlocks(*request, terminal);
  });
}

}  // namespace leeward::command
