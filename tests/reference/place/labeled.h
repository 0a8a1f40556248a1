#pragma once
/// The labelled address strings of ../shared/data/addresses (MIT and University of Illinois/NCSA licences, see the folder).
#include <filesystem>
#include <string>
#include <vector>

#include "analysis/place/parse.h"

namespace leeward::test {

struct LabeledString {
  std::string text;  ///< words joined with single blanks
  std::vector<std::pair<analysis::AddressLabel, std::string>> words;
};

/// Reads the flat XML of those files: one element a word. Labels outside the standard's become NotAddress.
std::vector<LabeledString> readLabeled(const std::filesystem::path& file);

/// One label a letter or figure, white space and punctuation left out: alike for any way of splitting into words.
/// Prefix, number and suffix count as the number, ZIP and plus-4 as the ZIP, second streets as streets.
std::string labelTrack(const std::vector<std::pair<analysis::AddressLabel, std::string>>& words);
std::string labelTrack(const analysis::ParsedAddress& parsed);

}  // namespace leeward::test
