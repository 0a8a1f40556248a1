#pragma once
/// How a street name sounds, for names that were written by ear: "NITE" for Knight, "FILIPS" for Phillips.
#include <string>
#include <string_view>

namespace leeward::analysis {

/// The consonants of a name as English speaks them, after Philips 1990, "Hanging on the Metaphone", Computer Language 7(12), simplified: silent letters
/// are left out, letters that sound alike become one, vowels count only at the beginning and all alike. Figures stand as they are. Upper case letters and figures
/// in, "" for a name without letters.
std::string soundOf(std::string_view upper);

}  // namespace leeward::analysis
