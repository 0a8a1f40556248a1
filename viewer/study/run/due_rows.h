#pragma once
/// The rows of what is due while they are gathered. For viewer/study/run/due_*.cpp only.
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "analysis/coverage/states.h"
#include "viewer/study/run/book.h"
#include "viewer/study/run/bring.h"
#include "viewer/study/run/context.h"
#include "viewer/study/run/due_list.h"

namespace leeward::study {

struct DueRow {
  Date date;
  std::int32_t door;
  std::string kind, what, dog, because;
  Bring bring;
};

/// Gathers what is due; a kind a function.
class DueRows {
 public:
  DueRows(const RunContext& context, const Book& book);
  /// Reads the ledger's smaller tables; before all else.
  Result<void> read();

  void addPromises();      // due_promises.cpp
  void addAppointments();  // due_promises.cpp
  void addNotes();         // due_promises.cpp
  void addUnanswered();    // due_promises.cpp
  void addVisits(const analysis::DoorCoverage& doors);
  Result<void> addTreatments();
  void addPermissions();
  void addReferrals();
  void addUrgent();
  void addStraw();         // due_straw.cpp
  Table table(const std::vector<std::string>& block_ids);

 private:
  struct Straw {
    std::optional<Date> in, out;  ///< the last of each
  };
  std::map<std::int32_t, Straw> strawByDoor() const;
  std::map<std::int32_t, int> housesByDoor() const;
  bool wasReached(std::int32_t door, Date since) const;
  std::map<std::int32_t, std::size_t> latestWords() const;
  bool isClosed(std::int32_t door) const {
    const auto& asked = book_.doors.asked_not_to_return[static_cast<std::size_t>(door)];
    return asked && *asked <= context_.as_of;
  }
  bool isAnswered(std::size_t look) const {
    return is_visited_[look] || !(result_[look].empty() || result_[look] == "nobody_home" || result_[look] == "no_access");
  }
  /// The latest look at each door for which `counts`; of several on one day the last of the record.
  template <class Counts>
  std::map<std::int32_t, std::size_t> latestLooks(const Counts& counts) const {
    std::map<std::int32_t, std::size_t> latest;
    for (std::size_t look = 0; look < book_.looks.rows(); ++look) {
      const auto door = book_.look_door[look];
      if (door < 0 || !counts(look)) continue;
      const auto [at, is_new] = latest.try_emplace(door, look);
      if (!is_new && book_.look_date[look] >= book_.look_date[at->second]) at->second = look;
    }
    return latest;
  }
  void add(Date date, std::int32_t door, const char* kind, std::string what, std::string because, std::string dog = "", Bring bring = {});

  const RunContext& context_;
  const Book& book_;
  Table services_, permissions_;
  std::vector<std::string> result_, promised_;
  std::vector<std::optional<Date>> return_by_;
  std::vector<bool> is_visited_, is_there_;
  std::unordered_map<std::string, std::size_t> look_row_, visit_row_;
  std::unordered_map<std::size_t, std::size_t> permission_of_look_;
  std::multimap<std::int32_t, Date> answered_days_;  ///< by door
  std::set<std::int32_t> transport_doors_;  ///< the latest permission there covers transport
  std::set<std::int32_t> promised_doors_, noted_doors_;
  std::set<std::string> known_items_;  ///< that a promise may name
  std::vector<DueRow> rows_;
};

}  // namespace leeward::study
