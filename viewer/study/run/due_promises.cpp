// What was said at a door: returns, appointments, notes, and knocks that nobody answered.
#include <algorithm>
#include <chrono>

#include <fmt/format.h>

#include "analysis/outcomes/appointments.h"
#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/due_rows.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// Knocks at a door at which nobody came: when they were.
struct Knocks {
  int count = 0;
  Date last;
  std::set<std::string> hours;
  bool weekday = false, weekend = false, morning = false, afternoon = false, evening = false;
};

void note(Knocks& knocks, Date date, const std::string& time) {
  constexpr int kNoon = 12, kEvening = 17;
  const std::chrono::weekday day{std::chrono::sys_days(calendar(date))};
  (day == std::chrono::Saturday || day == std::chrono::Sunday ? knocks.weekend : knocks.weekday) = true;
  knocks.last = std::max(knocks.last, date);
  ++knocks.count;
  const auto hour = time.size() < 5 ? std::nullopt : parseInteger(time.substr(0, 2));
  if (!hour) return;
  knocks.hours.insert(time.substr(0, 5));
  (*hour < kNoon ? knocks.morning : *hour < kEvening ? knocks.afternoon : knocks.evening) = true;
}

/// "not tried yet: evening, weekend"; "" where all was tried, or no hour is on record.
std::string notTried(const Knocks& knocks) {
  std::vector<std::string> parts;
  const bool hours_known = knocks.morning || knocks.afternoon || knocks.evening;
  for (const auto& [tried, word] : {std::pair(knocks.morning || !hours_known, "morning"), {knocks.afternoon || !hours_known, "afternoon"}, {knocks.evening || !hours_known, "evening"},
                                    {knocks.weekday, "weekday"}, {knocks.weekend, "weekend"}}) {
    if (!tried) parts.emplace_back(word);
  }
  return parts.empty() ? "" : "; not tried yet: " + join(parts, ", ");
}

std::string nobodyAt(const std::set<std::string>& hours) {
  return hours.empty() ? "" : "; nobody home at " + join(std::vector<std::string>(hours.begin(), hours.end()), ", ");
}

}  // namespace

void DueRows::addPromises() {
  // A promise stands until a later look is answered or gives another: passing by, or finding nobody home, keeps none.
  for (const auto& [door, look] : latestLooks([&](std::size_t look) { return isAnswered(look) || !promised_[look].empty() || return_by_[look]; })) {
    const auto date = return_by_[look];
    if ((!date && promised_[look].empty()) || isClosed(door) || (date && analysis::appointmentIn(promised_[look]))) continue;
    const std::string said = "said on " + toWords(book_.look_date[look]) + (date ? "" : ", without a day");
    add(date.value_or(book_.look_date[look]), door, "promise", promised_[look].empty() ? "promised return" : "promised: " + promised_[look], said, "", bringFor(promised_[look], known_items_));
    promised_doors_.insert(door);
  }
}

/// Whether a later look was answered on or after that day.
bool DueRows::wasReached(std::int32_t door, Date since) const {
  const auto [first, last] = answered_days_.equal_range(door);
  return std::any_of(first, last, [&](const auto& one) { return one.second >= since; });
}

void DueRows::addAppointments() {
  // Other than a promise to come, it isn't kept by a visit before its day: it stands until somebody was reached on that day or later, or another was made.
  for (const auto& [door, look] : latestLooks([&](std::size_t look) { return return_by_[look] && analysis::appointmentIn(promised_[look]); })) {
    const Date day = *return_by_[look];
    if (isClosed(door) || wasReached(door, day)) continue;
    const auto appointment = *analysis::appointmentIn(promised_[look]);
    std::string who = "; who brings the animal isn't said: settle it before the day";
    if (appointment.brings == analysis::Brings::Owner) who = "; its people bring it: remind them the day before";
    if (appointment.brings == analysis::Brings::Team) who = transport_doors_.contains(door) ? "; the team brings it" : "; the team brings it: no permission to transport is on record, ask for it";
    add(day, door, "appointment", promised_[look], "said on " + toWords(book_.look_date[look]) + who);
  }
}

void DueRows::addNotes() {
  const Column& note_left = columnOf(book_.looks, "note_left");
  const auto time = textsOf(book_.looks, "time");
  const auto hasNote = [&](std::size_t look) { return !isAnswered(look) && note_left.asInteger(look).value_or(0) != 0; };
  std::map<std::int32_t, std::set<std::string>> hours;
  for (std::size_t look = 0; look < book_.looks.rows(); ++look) {
    const auto door = book_.look_door[look];
    if (door >= 0 && result_[look] == "nobody_home" && time[look].size() >= 5) hours[door].insert(time[look].substr(0, 5));
  }
  for (const auto& [door, look] : latestLooks([&](std::size_t look) { return isAnswered(look) || hasNote(look); })) {
    if (!hasNote(look) || isClosed(door) || promised_doors_.contains(door)) continue;
    noted_doors_.insert(door);
    add(book_.look_date[look] + context_.study.due.note_days, door, "note", "call back after a note, at another hour", "note left on " + toWords(book_.look_date[look]) + nobodyAt(hours[door]));
  }
}

void DueRows::addUnanswered() {
  constexpr int kEnough = 2;  // one knock at an empty house says nothing yet
  const auto time = textsOf(book_.looks, "time");
  std::map<std::int32_t, Knocks> knocks;
  for (std::size_t look = 0; look < book_.looks.rows(); ++look) {
    if (book_.look_door[look] >= 0 && result_[look] == "nobody_home") note(knocks[book_.look_door[look]], book_.look_date[look], time[look]);
  }
  for (const auto& [door, at] : knocks) {
    if (at.count < kEnough || answered_days_.contains(door) || isClosed(door) || promised_doors_.contains(door) || noted_doors_.contains(door)) continue;
    add(at.last + context_.study.due.note_days, door, "unanswered", "knock at another hour", fmt::format("knocked {} times, last on {}, never answered{}{}", at.count, toWords(at.last), nobodyAt(at.hours), notTried(at)));
  }
}

}  // namespace leeward::study
