#pragma once
/// Lines that nobody would call an address, and what must hold of the answer to any of them.
#include <string>
#include <string_view>
#include <vector>

#include "analysis/place/address_index.h"
#include "shared/base/random.h"

namespace leeward::test {

/// What is wrong with the parse and the placement of a line; "" if nothing is. Cut to what was looked at, a line's letters and digits
/// must all stand in the words, in order; scores lie in 0..1; a placed line has a position and a radius; the same line gives the same answer.
std::string lineFault(const analysis::AddressIndex& index, const std::string& text);
/// Labels of the parse and grade of the placement: lines that differ here take different ways through the code.
std::string wayThrough(const analysis::AddressIndex& index, const std::string& text);

/// Addresses and pieces to begin with.
const std::vector<std::string>& hostileSeeds();
/// A line made of one or two others by one to eight changes: bytes, pieces, repeats, splices, cuts.
std::string mutated(const std::vector<std::string>& lines, Random& random);

/// One line a text, with \n, \0, other control bytes and backslashes as \xHH.
std::string escaped(std::string_view text);
std::string unescaped(std::string_view line);

}  // namespace leeward::test
