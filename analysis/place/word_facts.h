#pragma once
/// What can be said of a word by itself: hashes of its letters, and what the published tables and a few lists take it for.
#include <cstdint>

#include "analysis/place/tokens.h"

namespace leeward::analysis {

struct WordFacts {
  std::uint32_t word = 0;           ///< the word, as a hash; likewise its first and last letters and its shape ("Aa-0")
  std::uint32_t first2 = 0, first3 = 0, first4 = 0, last2 = 0, last3 = 0, last4 = 0, shape = 0;
  std::uint32_t kinds = 0;          ///< every table and list that holds it, one bit each, with the form of its figures
  std::uint32_t coarse = 0;         ///< the likeliest of them, below kCoarseKinds
  std::uint32_t marks = 0;          ///< comma behind 1, dot inside 2, in brackets 4
  bool is_type = false;             ///< a type of street, or one slip from a common one
  bool is_unit = false, is_state = false, is_zip = false, is_number = false, has_digit = false, is_care = false;
  bool begins_place = false, ends_place = false;  ///< "Saint", "Lake" ...; "Beach", "Heights" ...
};
inline constexpr std::uint32_t kCoarseKinds = 13;

WordFacts factsOf(const Word& word);

std::uint32_t hashText(std::string_view text);  ///< FNV-1a, 32 bits
/// Of two hashes one that depends on their order.
inline std::uint32_t mix(std::uint32_t a, std::uint32_t b) {
  const std::uint32_t v = (a ^ (b + 0x9E3779B9U + (a << 6) + (a >> 2))) * 0x85EBCA6BU;
  return v ^ (v >> 15);
}

}  // namespace leeward::analysis
