#include "analysis/need/meeting.h"

#include <numeric>

#include "analysis/need/town_fit.h"

namespace leeward::analysis {

namespace {

struct Tally {
  std::vector<int> yes, all;
  explicit Tally(std::size_t doors) : yes(doors, 0), all(doors, 0) {}
  void add(std::size_t door, bool is_yes) {
    ++all[door];
    yes[door] += is_yes ? 1 : 0;
  }
};

bool answered(DoorResult result) {
  return result == DoorResult::Welcomed || result == DoorResult::Declined || result == DoorResult::AskedNotToReturn || result == DoorResult::NoDog;
}

double shareAt(const BetaTownFit& town, int yes, int all) { return (town.mean * town.weight + yes) / (town.weight + all); }

}  // namespace

Meeting meetingOf(const Record& record) {
  const Looks& looks = record.looks;
  Tally answers(record.doors.size()), permits(record.doors.size());
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (looks.door[i] == kNowhere || looks.kind[i] != LookKind::Knock || looks.date[i] > record.as_of) continue;
    const auto door = static_cast<std::size_t>(looks.door[i]);
    const bool came = answered(looks.result[i]);
    if (came || looks.result[i] == DoorResult::NobodyHome) answers.add(door, came);
    if (came && sawDog(record, i)) permits.add(door, looks.result[i] == DoorResult::Welcomed);
  }
  const BetaTownFit of_answers = fitBetaTown(answers.yes, answers.all), of_permits = fitBetaTown(permits.yes, permits.all);
  Meeting meeting;
  meeting.answers = of_answers.mean;
  meeting.permits = of_permits.mean;
  meeting.knocks = std::accumulate(answers.all.begin(), answers.all.end(), 0);
  meeting.asked = std::accumulate(permits.all.begin(), permits.all.end(), 0);
  const double seen = record.chance_of_seeing[static_cast<std::size_t>(LookKind::Knock)][static_cast<std::size_t>(seasonOf(record.as_of + 1))];
  meeting.chance.resize(record.doors.size());
  for (std::size_t door = 0; door < record.doors.size(); ++door)
    meeting.chance[door] = seen * shareAt(of_answers, answers.yes[door], answers.all[door]) * shareAt(of_permits, permits.yes[door], permits.all[door]);
  return meeting;
}

}  // namespace leeward::analysis
