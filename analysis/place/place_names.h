#pragma once
/// Names of places of the United States, for telling where a street ends when no comma does. A hint to the learned part of the
/// parser, never a condition: postal towns that the census does not know are not among them.
#include <cstdint>
#include <string_view>
#include <vector>

namespace leeward::analysis {

/// One word of a place's name in comparable form (SAINT and ST, NORTH and N are alike), as a hash. Upper case.
std::uint32_t placePiece(std::string_view upper_word);

/// The larger places say more: a common word is more often one of them than a hamlet of that name.
enum class PlaceList { Larger, All };

/// A name built word by word.
class PlaceKey {
 public:
  static constexpr std::size_t kMostWords = 4;
  void add(std::uint32_t piece);
  std::uint64_t hash() const { return hash_; }
  /// The states (stateBit) that have a place of this name; 0 for none.
  std::uint64_t states(PlaceList list) const;

 private:
  std::uint64_t hash_ = 0x100000001B3ULL;
};

std::uint64_t stateBit(std::string_view standard_state);  ///< one bit a state ("IL"); 0 for an unknown one

}  // namespace leeward::analysis
