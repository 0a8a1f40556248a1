#pragma once
/// One look at one door: what happens there and how it is written down.
#include <map>
#include <optional>

#include "sample-data/generator/crews.h"

namespace leeward::town {

struct Look {
  Date date;
  std::string crew, why_here;  ///< as the template's words
  bool knock = true;           ///< else a view from the street
  int door = -1;
};

/// What a crew remembers of a door.
struct Memory {
  std::optional<Date> last_look;
  std::optional<Date> return_by;
  bool known = false;      ///< a dog is known there
  bool keep_away = false;  ///< asked not to return
  int fruitless = 0;       ///< looks in a row without an answer
  Typed typed;             ///< as typed last time
};

class AtTheDoor {
 public:
  AtTheDoor(const Town& town, Population& population, const std::vector<Day>& days, Random& random, std::vector<VisitRow>& out)
      : town_(town), population_(population), days_(days), random_(random), out_(out), memory(town.doors.size()) {}

  /// Looks, writes one or more rows, remembers.
  void look(const Look& look);

 private:
  using Row = std::map<std::string, std::string>;
  void nobodyWithDogs(const Look& look, Row& row);
  void knockWithDogs(const Look& look, Row row, const std::vector<int>& present);
  void fromTheStreet(const Look& look, Row row, const std::vector<int>& present);
  void welcomed(const Look& look, Row row, const std::vector<int>& present);
  void checkDog(const Look& look, Row& row, Dog& dog, bool may_handle);
  void items(Row& row, Dog& dog, bool may_handle, std::vector<std::string>& done);
  void outcome(const Look& look, Row& row, Dog& dog);
  bool noteGone(const Look& look, Row row);
  void address(Row& row, const Look& look);
  void write(const Row& row, int door);
  bool chance(double p) { return random_.uniform() < p; }
  bool cold(Date date) const { return days_[static_cast<std::size_t>(date - kFirstDay)].tmin_c < 3; }

  const Town& town_;
  Population& population_;
  const std::vector<Day>& days_;
  Random& random_;
  std::vector<VisitRow>& out_;
  int next_visit_ = 1;

 public:
  std::vector<Memory> memory;  ///< by door
};

}  // namespace leeward::town
