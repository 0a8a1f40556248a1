#pragma once
/// Typed words brought to a form in which they can be compared.
#include <string>
#include <string_view>
#include <vector>

namespace leeward::analysis {

/// Lower case, accents of the Latin-1 range off ("Ñ" -> "n", "ß" -> "ss"), everything but letters, digits and bytes of other
/// scripts turned into single blanks, none at the ends.
std::string foldWords(std::string_view text);
/// The folded words of a description that say something about an animal, each once, ascending: without "the", "dog", "with" and
/// the like.
std::vector<std::string> tellingWords(std::string_view text);
/// Shared words / words of the shorter list; 1 where either is empty.
double wordOverlap(const std::vector<std::string>& a, const std::vector<std::string>& b);

}  // namespace leeward::analysis
