/// Writes the names of places that the parser knows:
///   zcat /usr/share/weather-util/places.gz | leeward_make_gazetteer > analysis/place/gazetteer.inc
/// Input: lines "description = NAME KIND, STATE", as Debian's package weather-util-data 2.4.4 holds them, which made them from the
/// 2022 Gazetteer Files of the United States Census Bureau (places and county subdivisions, public domain). Other lines are passed over.
#include <algorithm>
#include <array>
#include <iostream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <string_view>

#include "importers/fold.h"
#include "shared/base/text.h"

namespace {

using Names = std::map<std::string, std::set<std::string>>;  ///< by state, in alphabetical order

constexpr std::size_t kMostWords = 4;   ///< the parser looks at no longer names
constexpr std::size_t kLineLength = 120;

/// The census's word for what kind of place it is: a name that mail is addressed to, or none of these (counties, precincts ...).
bool isPlace(std::string_view kind, std::string_view state) {
  constexpr std::array<std::string_view, 6> kPlaces = {"city", "town", "CDP", "village", "borough", "municipality"};
  constexpr std::array<std::string_view, 4> kTownshipStates = {"NJ", "PA", "MI", "OH"};
  if (kind == "township") return std::find(kTownshipStates.begin(), kTownshipStates.end(), state) != kTownshipStates.end();
  return std::find(kPlaces.begin(), kPlaces.end(), kind) != kPlaces.end();
}

void dropEnd(std::string& text, std::string_view end) {
  if (text.ends_with(end)) text.erase(text.size() - end.size());
}

/// Upper case without accents, words joined by '_'; empty for a name that is no plain name of up to four words.
std::string tableName(const std::string& name) {
  std::string upper;
  for (const char c : leeward::upperAscii(leeward::importers::folded(name))) {
    if (c == '-' || c == '/') upper += ' ';
    else if (c == ' ' || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9')) upper += c;
  }
  std::istringstream words(upper);
  std::string joined;
  std::size_t count = 0;
  for (std::string word; words >> word; ++count) joined += (joined.empty() ? "" : "_") + word;
  return count > kMostWords ? std::string() : joined;
}

void add(Names& names, std::string described) {
  const std::size_t comma = described.rfind(", ");
  if (comma == std::string::npos || described.size() != comma + 4) return;
  const std::string state = described.substr(comma + 2);
  if (state == "PR" || state == "AS" || state == "GU" || state == "MP" || state == "VI") return;
  described.erase(comma);
  dropEnd(described, " (balance)");
  const std::size_t blank = described.rfind(' ');
  if (blank == std::string::npos || !isPlace(described.substr(blank + 1), state)) return;
  described.erase(blank);
  dropEnd(described, " charter");
  const std::string name = tableName(described);
  if (!name.empty()) names[state].insert(name);
}

void write(const std::string& state, const std::set<std::string>& names) {
  std::string line;
  for (const std::string& name : names) {
    if (!line.empty() && line.size() + name.size() + 1 > kLineLength) {
      std::cout << '"' << line << "\",\n";
      line.clear();
    }
    line += (line.empty() ? state : "") + ' ' + name;
  }
  std::cout << '"' << line << "\",\n";
}

}  // namespace

int main() {
  Names names;
  constexpr std::string_view kStart = "description = ";
  for (std::string line; std::getline(std::cin, line);) {
    if (line.starts_with(kStart)) add(names, line.substr(kStart.size()));
  }
  for (const auto& [state, of_state] : names) write(state, of_state);
  return 0;
}
