#pragma once
/// Looks through text and bytes for what would give a client away: the last gate before a file leaves.
///
/// An address is a house number beside its street, in any common spelling (types, directions and ordinals written out or short, dropped, in
/// front or behind, one slip of the pen in names of five letters and more, the number after the street, numbers to twenty in words); a telephone by its digits,
/// however grouped; a full name in either order; a position by two numbers with four decimals or more (degrees with minutes and seconds
/// too) or two doubles side by side that lie within `near_m` of a private home. Single names (of dogs, families, streets) are only
/// counted: they say little alone and stand in much that is harmless.
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct PrivateFacts {
  struct Home {
    std::string number, street;
  };
  std::vector<Home> homes;           ///< as the reference has them and as typed
  std::vector<std::string> names;    ///< of households
  std::vector<std::string> phones;
  std::vector<std::string> single_names;  ///< dogs and the like: only counted
  std::vector<Point> lon_lat;        ///< of homes; degrees, or plane metres for a study without a place
  bool is_local = false;             ///< the latter
  /// The same homes in projected systems, metres, that a file may well be in.
  std::vector<std::vector<Point>> projected;
  double near_m = 10;
  /// Masked places of earlier hand-overs. What was recorded since may lie beside one by chance, and no point moves again.
  std::vector<Point> told_before = {};
};

enum class LeakKind : std::uint8_t { Address, Phone, Name, Position };
const char* leakWords(LeakKind kind);  ///< "a house number with its street"

struct Leak {
  LeakKind kind = LeakKind::Address;
  std::size_t at = 0;    ///< byte of the text
  std::size_t line = 0;  ///< 1-based; 0 for bytes that have no lines
  bool operator==(const Leak&) const = default;
};

struct LeakCount {
  std::vector<Leak> leaks;        ///< at most kMostLeaks
  std::uint64_t single_names = 0;
};
inline constexpr std::size_t kMostLeaks = 100;

class LeakFinder {
 public:
  explicit LeakFinder(const PrivateFacts& facts);
  ~LeakFinder();
  LeakFinder(LeakFinder&&) noexcept;
  LeakFinder& operator=(LeakFinder&&) noexcept;

  /// UTF-8 or any bytes; those that are no text part words.
  void readText(std::string_view text, LeakCount& found) const;
  /// Pairs of 8-byte floating-point numbers at any byte, of either byte order.
  void readNumbers(std::string_view bytes, LeakCount& found) const;
  /// A single position in degrees.
  bool isNearHome(Point lon_lat) const;

 private:
  struct Index;
  std::unique_ptr<Index> index_;
};

}  // namespace leeward::analysis
