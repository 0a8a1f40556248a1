#pragma once
/// What AddressIndex holds: for the other files of this folder and their tests.
#include <algorithm>
#include <array>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "analysis/place/address_index.h"
#include "analysis/place/house_number.h"
#include "analysis/place/street_name.h"

namespace leeward::analysis {

/// Text held once, by number; 0 is "".
class TextPool {
 public:
  TextPool() { add(""); }
  std::uint32_t add(const std::string& text);
  const std::string& operator[](std::uint32_t id) const { return texts_[id]; }
  std::size_t size() const { return texts_.size(); }
  bool has(const std::string& text) const { return ids_.contains(text); }

 private:
  std::vector<std::string> texts_;
  std::unordered_map<std::string, std::uint32_t> ids_;
};

struct NumberedPoint {
  int number = 0;
  int last = 0;
  std::uint32_t row = 0;  ///< of the points
};

struct StreetSide {
  SideRange range;
  std::uint32_t row = 0;  ///< of the ranges
  bool left = true;
};

/// One street name in one place (town).
struct Street {
  StreetParts parts;
  std::string name;         ///< as the reference writes it first
  std::uint32_t place = 0;  ///< pooled, comparable form; 0 unknown
  std::vector<NumberedPoint> points;  ///< by number, then row
  std::vector<StreetSide> sides;
  std::vector<std::uint32_t> lines;   ///< rows of the ranges
  std::vector<std::uint32_t> nodes;        ///< ends of its lines by position, ascending
  std::vector<std::uint32_t> named_nodes;  ///< and by the reference's own node ids, which may be wrong about ends
  Bbox box;
};

enum class KeyKind : std::uint8_t {
  Name,      ///< the street's own core
  WholeName, ///< with its direction or type as part of the name
  Part,      ///< its last word or the letters that its words begin with
};

/// What is asked of every street that a name may mean, close together.
struct StreetKey {
  std::uint32_t street = 0;
  std::uint32_t place = 0;     ///< the street's
  std::uint16_t type = 0;      ///< the street's, into IndexData::types
  std::uint8_t direction = 0;  ///< the street's, into IndexData::directions
  KeyKind kind = KeyKind::Name;
};

/// 95 % radii in metres by the length of the stretch that a place was worked out on: a number between two doors 15 m apart is
/// known far better than one between doors 200 m apart.
struct StretchRadius {
  static constexpr std::array<double, 7> kUpToM{15, 25, 40, 70, 110, 170, std::numeric_limits<double>::infinity()};
  std::array<double, kUpToM.size()> radius_m{};
  explicit StretchRadius(double everywhere_m) { radius_m.fill(everywhere_m); }
  double of(double stretch_m) const { return radius_m[static_cast<std::size_t>(std::lower_bound(kUpToM.begin(), kUpToM.end() - 1, stretch_m) - kUpToM.begin())]; }
};

/// 95 % radii in metres by grade, measured at build.
struct GradeUncertainty {
  double point_m = 15;
  StretchRadius between{50};  ///< by the distance of the two doors
  StretchRadius range{75};    ///< by the line's length
  double range_m = 75;        ///< over all lines
  double crossing_m = 25;
};

struct IndexData {
  AddressPoints points;
  StreetRanges ranges;
  TextPool places;                            ///< comparable forms of the reference's towns
  std::vector<std::vector<std::uint32_t>> neighbours;  ///< of each town, ascending: those with doors or lines within some hundred metres of its own
  std::vector<std::uint32_t> point_place;     ///< pooled; empty without the column
  std::vector<std::string> point_suffix;      ///< of the house number
  std::vector<Street> streets;
  std::vector<Point> nodes;

  std::vector<std::string> cores;             ///< distinct keys, ascending
  std::array<bool, 64> core_lengths{};        ///< whether a core has so many letters
  std::vector<std::uint32_t> core_starts;     ///< into keys; one more than cores
  std::vector<StreetKey> keys;
  std::vector<std::string> types;             ///< distinct, "" first
  std::vector<std::pair<std::string, std::string>> directions;  ///< distinct pairs of before and after, ("", "") first
  /// Deletion neighbourhood of the cores: (hash of the core with letters left out, core), ascending.
  std::vector<std::pair<std::uint32_t, std::uint32_t>> deletions;
  std::vector<std::uint32_t> deletion_starts;  ///< first of `deletions` by the hash's top deletion_bits, one more at the end
  int deletion_bits = 0;                       ///< so many that a bucket holds a few
  /// A bit for each hash among `deletions`, by its top filter_bits: nine of ten lookups end here, in memory that stays near the processor.
  std::vector<std::uint64_t> deletion_filter;
  int filter_bits = 0;
  std::vector<std::pair<std::string, std::uint32_t>> sounds;  ///< of the cores that are long enough to be known by ear, ascending

  std::unordered_map<std::string, std::vector<std::uint32_t>> by_postcode;  ///< point rows
  GradeUncertainty uncertainty;
};

/// Comparable form of a town: words as in street names, joined.
std::string comparablePlace(std::string_view place);

/// Hashes of a key with up to `most` letters left out (the key itself included), without repeats.
std::vector<std::uint32_t> deletionHashes(std::string_view key, int most);
/// Slips that are borne for a key: none below 3 letters, one below 5, two from there.
int slipsBorne(std::string_view key);

struct CoreMatch {
  std::uint32_t core = 0;
  int slips = 0;
  bool shortened = false;  ///< what was typed is how the core begins
  bool by_ear = false;     ///< more slips than are borne, but it sounds the same
};
/// Cores near a key: the same, within slipsBorne (figures must agree), or beginning with it; if there is none, those that sound the
/// same. Best first, at most `most`.
std::vector<CoreMatch> nearCores(const IndexData& index, std::string_view key, std::size_t most);

/// What nearCores found, by key: logs name the same streets over and over. Of one index; used by one thread.
class NearCoresMemo {
 public:
  const std::vector<CoreMatch>& of(const IndexData& index, const std::string& key, std::size_t most);
  /// Slips between a town as typed and each of the reference's, by its number; more than two are three, or kNeighbourTown where the typed one lies beside it.
  static constexpr std::uint8_t kNeighbourTown = 4;
  const std::vector<std::uint8_t>& townSlips(const IndexData& index, const std::string& town);
  /// How a typed type, or typed directions, agree with each of the reference's, by their numbers (TypeAgreement, DirectionAgreement).
  const std::vector<std::uint8_t>& typeAgreements(const IndexData& index, const std::string& type);
  const std::vector<std::uint8_t>& directionAgreements(const IndexData& index, const StreetParts& typed);

 private:
  static constexpr std::size_t kKept = 50'000;  ///< then it starts anew, so that garbage can't fill the memory
  std::unordered_map<std::string, std::vector<CoreMatch>> known_;
  std::unordered_map<std::string, std::vector<std::uint8_t>> towns_, types_, directions_;
};

/// Fills cores, keys and deletions from the streets.
void buildRetrieval(IndexData& index);
/// Finds which towns lie beside each other.
void findNeighbours(IndexData& index);
/// Measures the grades' uncertainty on points held out.
void measureUncertainty(IndexData& index);

/// Between the nearest known points of the number's parity below and above it on the street.
struct BetweenPlace {
  Point position;
  std::uint32_t below = 0;  ///< point rows
  std::uint32_t above = 0;
  double stretch_m = 0;     ///< from one to the other
};
std::optional<BetweenPlace> placeBetween(const IndexData& index, const Street& street, int number, std::uint32_t without_row);
inline constexpr std::uint32_t kNoRow = 0xFFFFFFFFU;

struct RangePlace {
  Point position;
  std::uint32_t row = 0;  ///< of the ranges
  bool parity_agrees = true;
  double stretch_m = 0;    ///< the line's length
};
/// Along the narrowest range that holds the number, those of its parity first. Never outside a range.
std::optional<RangePlace> placeOnRange(const IndexData& index, const Street& street, const HouseNumber& number);

}  // namespace leeward::analysis
