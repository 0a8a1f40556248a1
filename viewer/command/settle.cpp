#include <cmath>
#include <memory>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/settle.h"

namespace leeward::command {
namespace {

using Json = nlohmann::ordered_json;
using Action = study::SettleRequest::Action;

struct SettleCall {
  study::SettleRequest request;
  std::string action = "list", first, second;
};

Json numberOrNull(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }
std::string dumped(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n"; }

Json settledAsJson(const study::SettledAddress& one) {
  return {{"day", one.day}, {"kind", one.kind}, {"typed", one.typed}, {"meant", one.meant}, {"lon", numberOrNull(one.position.x)}, {"lat", numberOrNull(one.position.y)}};
}

Json listAsJson(const study::SettleList& list) {
  Json open = Json::array(), settled = Json::array();
  for (const auto& one : list.open) {
    Json candidates = Json::array();
    for (const auto& choice : one.choices) {
      candidates.push_back({{"candidate", candidates.size() + 1}, {"address", choice.address}, {"placed_by", choice.placed_by}, {"score", choice.score},
                            {"lon", numberOrNull(choice.position.x)}, {"lat", numberOrNull(choice.position.y)}, {"uncertainty_m", numberOrNull(choice.uncertainty_m)}});
    }
    open.push_back({{"id", one.id}, {"typed", one.typed}, {"decision", one.decision}, {"rows", one.rows}, {"why", one.why}, {"candidates", std::move(candidates)}});
  }
  for (const auto& one : list.settled) settled.push_back(settledAsJson(one));
  return {{"open", std::move(open)}, {"settled", std::move(settled)}, {"stale", list.is_stale}};
}

void showOpen(const study::SettleRequest& request, Terminal& terminal) {
  const auto list = study::openAddresses(request.folder);
  if (!list) return terminal.fail(list.problem());
  if (terminal.json) return terminal.print(dumped(listAsJson(*list)));
  std::string text;
  for (const auto& one : list->open) {
    text += fmt::format("{}  {}  ({} {}; {})\n", one.id, one.typed, one.rows, one.rows == 1 ? "row" : "rows", one.why);
    for (std::size_t i = 0; i < one.choices.size(); ++i) {
      const auto& choice = one.choices[i];
      text += fmt::format("     {}  {}  by {}, score {:.2f}, at {:.6f}, {:.6f}\n", i + 1, choice.address, choice.placed_by, choice.score, choice.position.x, choice.position.y);
    }
  }
  terminal.print(text);
  const std::string folder = request.folder.string();
  if (list->open.empty()) terminal.say("Every address that was placed is settled.");
  else terminal.say(fmt::format("{} to settle: leeward settle {} accept ID [CANDIDATE], move ID --lon X --lat Y, refuse ID, or teach 'TYPED' 'MEANT'", formatCount(static_cast<std::int64_t>(list->open.size())), folder));
  if (!list->settled.empty()) terminal.say(fmt::format("{} settled by hand; leeward settle {} undo takes the last one back", list->settled.size(), folder));
  if (list->is_stale) terminal.say("The list is of the last placing; leeward run " + folder + " brings it up to date.");
}

/// The words behind the action, by what it takes.
Result<void> readWords(SettleCall& call, bool has_position) {
  study::SettleRequest& request = call.request;
  const auto wrong = [](const std::string& what, const std::string& mend) { return Problem{ProblemCode::InvalidArgument, what, "settle", mend}; };
  if (has_position != (call.action == "move")) return wrong(has_position ? "--lon and --lat belong to move" : "move needs --lon X and --lat Y", "Write: settle DIR move ID --lon X --lat Y");
  if (call.action == "undo") {
    request.action = Action::Undo;
    return call.first.empty() ? Result<void>{} : wrong("undo takes back the last decision and needs no more words", "Write: settle DIR undo");
  }
  if (call.first.empty()) return wrong(call.action + " needs to know which", "Write: settle DIR " + call.action + (call.action == "teach" ? " 'TYPED' 'MEANT'" : " ID"));
  if (call.action == "teach") {
    request.action = Action::Teach;
    request.typed = call.first, request.meant = call.second;
    return {};
  }
  request.action = call.action == "accept" ? Action::Accept : call.action == "move" ? Action::Move : Action::Refuse;
  request.address = call.first;
  if (call.second.empty()) return {};
  const auto number = parseInteger(call.second);
  if (call.action != "accept" || !number || *number < 1) return wrong(fmt::format("\"{}\" is no candidate's number", call.second), "Write: settle DIR accept ID 2");
  request.candidate = static_cast<std::size_t>(*number);
  return {};
}

}  // namespace

void addSettle(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("settle", "Settle addresses that stayed undecided, and teach readings");
  auto call = std::make_shared<SettleCall>();
  verb->add_option("DIR", call->request.folder, "Folder of the study")->required();
  verb->add_option("ACTION", call->action, "list (without one): what is open; accept, move or refuse an address; teach a reading; undo the last")
      ->check(CLI::IsMember({"list", "accept", "move", "refuse", "teach", "undo"}));
  verb->add_option("ID", call->first, "accept, move, refuse: its id from the list, or the words as typed; teach: the words as typed");
  verb->add_option("MEANT", call->second, "accept: the candidate's number in the list (the first without one); teach: the words that are meant");
  auto* lon = verb->add_option("--lon", call->request.position.x, "move: longitude of the place, or x in a study without a place");
  auto* lat = verb->add_option("--lat", call->request.position.y, "move: its latitude, or y");
  lon->needs(lat), lat->needs(lon);
  verb->footer("What is settled is kept in the ledger, holds for every row that says the same, and is applied first by the next run.");
  addCommonOptions(*verb, terminal);
  verb->callback([call, lon, &terminal] {
    if (call->action == "list") return showOpen(call->request, terminal);
    if (const auto read = readWords(*call, lon->count() > 0); !read) return terminal.fail(read.problem());
    auto progress = terminal.progress();
    const auto done = study::settle(call->request, progress);
    if (!done) return terminal.fail(done.problem());
    for (const auto& line : study::describe(call->request, *done)) terminal.say(line);
    if (!terminal.json) return;
    Json json = settledAsJson(done->settled);
    json["undone"] = call->request.action == Action::Undo;
    json["rows"] = done->rows;
    terminal.print(dumped(json));
  });
}

}  // namespace leeward::command
