#include <algorithm>
#include <map>
#include <memory>
#include <numeric>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/what_is_in_stock.h"

namespace leeward::command {
namespace {

/// Days first; within a day by block or by crew, if asked for.
Table grouped(const Table& due, const std::string& by) {
  if (by.empty()) return due;
  const Column *day = due.find("due"), *group = due.find(by == "area" ? "block_id" : "crew");
  std::vector<std::size_t> rows(due.rows());
  std::iota(rows.begin(), rows.end(), std::size_t{0});
  std::ranges::stable_sort(rows, [&](std::size_t a, std::size_t b) {
    return std::pair(day->asText(a), group->asText(a)) < std::pair(day->asText(b), group->asText(b));
  });
  return due.take(rows);
}

/// How many of each kind, by day: all that a calendar on a phone may know.
std::map<std::string, std::map<std::string, int>> kindsByDay(const Table& due) {
  std::map<std::string, std::map<std::string, int>> days;
  for (std::size_t row = 0; row < due.rows(); ++row) ++days[due.find("due")->asText(row)][due.find("kind")->asText(row)];
  return days;
}

/// "3 urgent" and "3 straw", but "3 promises".
bool hasNoPlural(const std::string& kind) { return kind == "urgent" || kind == "straw" || kind == "unanswered"; }

std::string kindsInWords(const std::map<std::string, int>& kinds, std::string_view comma = ", ") {
  std::vector<std::string> words;
  for (const auto& [kind, count] : kinds) words.push_back(fmt::format("{} {}{}", formatCount(count), kind, count == 1 || hasNoPlural(kind) ? "" : "s"));
  return join(words, comma);
}

/// RFC 5545: a day an event, counts only, what is late on the day of the list; no name, address or id of anybody.
std::string calendarOf(const study::DueOutcome& outcome) {
  const auto packed = [](std::string day) {
    std::erase(day, '-');
    return day;
  };
  std::string text = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//leeward//due//EN\r\n";
  // What is late stands on the day of the list: nobody looks at last year's page.
  std::map<std::string, std::map<std::string, int>> days;
  for (const auto& [day, kinds] : kindsByDay(outcome.due)) {
    for (const auto& [kind, count] : kinds) days[std::max(day, toIso(outcome.as_of))][kind] += count;
  }
  for (const auto& [day, kinds] : days) {
    text += fmt::format("BEGIN:VEVENT\r\nUID:due-{0}@leeward.invalid\r\nDTSTAMP:{1}T000000Z\r\nDTSTART;VALUE=DATE:{0}\r\nSUMMARY:Due: {2}\r\nTRANSP:TRANSPARENT\r\nEND:VEVENT\r\n", packed(day),
                        packed(toIso(outcome.as_of)), kindsInWords(kinds, "\\, "));
  }
  return text + "END:VCALENDAR\r\n";
}

/// Those left last come first: the older ones have waited for a visit anyway, and a long record holds many.
void sayUrgent(const Table& due, Terminal& terminal) {
  constexpr std::size_t kSaid = 10;
  std::vector<std::size_t> urgent;
  for (std::size_t row = due.rows(); row-- > 0;) {
    if (due.find("kind")->textAt(row) == "urgent") urgent.push_back(row);
  }
  for (std::size_t i = 0; i < std::min(urgent.size(), kSaid); ++i) {
    const auto said = [&](const char* column) { return due.find(column)->asText(urgent[i]); };
    terminal.say(fmt::format("URGENT, {}: {} ({})", said("premises_id"), said("what"), said("because")));
  }
  if (urgent.size() > kSaid) terminal.say(fmt::format("URGENT: {} more in the list, left longer ago.", formatCount(static_cast<std::int64_t>(urgent.size() - kSaid))));
}

/// "To bring: North: bowl 1, straw 4; nobody yet: straw 2".
void sayBring(const Table& due, Terminal& terminal) {
  const Table bring = study::toBring(due);
  std::map<std::string, std::vector<std::string>> by_crew;
  for (std::size_t row = 0; row < bring.rows(); ++row) by_crew[bring.find("crew")->asText(row)].push_back(bring.find("item")->asText(row) + " " + formatNumber(*bring.find("to_bring")->asReal(row)));
  for (const auto& [crew, items] : by_crew) terminal.say(fmt::format("To bring, {}: {}", crew.empty() ? "no crew yet" : crew, join(items, ", ")));
}

void sayDays(const study::DueOutcome& outcome, Terminal& terminal) {
  terminal.say(fmt::format("Due up to {}, as of {}. This list holds client data; permission before entering, crews in pairs.", toWords(outcome.until), toWords(outcome.as_of)));
  sayUrgent(outcome.due, terminal);
  std::map<std::string, int> late;
  for (const auto& [day, kinds] : kindsByDay(outcome.due)) {
    if (day >= toIso(outcome.as_of)) {
      terminal.say(day + ": " + kindsInWords(kinds));
      continue;
    }
    for (const auto& [kind, count] : kinds) late[kind] += count;
  }
  sayBring(outcome.due, terminal);
  if (!late.empty()) terminal.say("before " + toIso(outcome.as_of) + ": " + kindsInWords(late));
  if (outcome.due.rows() == 0) terminal.say("Nothing is due.");
}

}  // namespace

void addDue(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("due", "What is due: what is urgent, promises, appointments, treatments, visits, notes, doors that nobody answers, straw, referrals, permissions that end");
  struct Request {
    study::DueRequest due;
    std::string by;
  };
  auto request = std::make_shared<Request>();
  verb->add_option("DIR", request->due.run.folder, "Folder of the study")->required();
  addDay(*verb, "--until", request->due.until, "Last day of the list (without it: a week ahead)");
  addDay(*verb, "--as-of", request->due.run.as_of, "Figures as of the end of this day, instead of the study file's");
  verb->add_option("--by", request->by, "Order within a day: area (blocks) or crew")->check(CLI::IsMember({"area", "crew"}));
  addOutput(*verb, terminal, {".csv", ".xlsx", ".ics"}, "; .ics: a day an event, counts only, without names or addresses");
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto outcome = study::whatIsDue(request->due, progress);
    if (!outcome) return terminal.fail(outcome.problem());
    sayDays(*outcome, terminal);
    if (terminal.output.ends_with(".ics")) {
      if (auto written = writeFile(terminal.output, calendarOf(*outcome), true); !written) return terminal.fail(written.problem());
      if (terminal.json) terminal.print("{\"output\":" + jsonText(terminal.output) + "}\n");
      return;
    }
    Layer layer;
    layer.name = "due";
    layer.table = grouped(outcome->due, request->by);
    terminal.deliver(layer, {.owner_only = true, .refused = {}, .members = fmt::format("\"as_of\":\"{}\",\"until\":\"{}\"", toIso(outcome->as_of), toIso(outcome->until))});
  });
}

}  // namespace leeward::command
