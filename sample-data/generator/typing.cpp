#include "sample-data/generator/typing.h"

#include <algorithm>
#include <array>
#include <map>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::town {

namespace {

// How often each slip happens, per typed address. Letter slips: of misspellings some 80 % are a single letter left out,
// put in, swapped or exchanged (Damerau 1964, "A technique for computer detection and correction of spelling errors",
// Communications of the ACM 7(3)); how often addresses are misspelt at all, and the other rates, are common practice, no
// published source.
constexpr double kLetterSlip = 0.07;
constexpr double kTypeLost = 0.10;
constexpr double kTypeOtherwise = 0.20;
constexpr double kDirectionLost = 0.012;
constexpr double kDirectionOtherwise = 0.25;
constexpr double kTownLost = 0.15;
constexpr double kPostcodeLost = 0.45;
constexpr double kUnitAdded = 0.015;
constexpr double kCrossing = 0.007;
constexpr double kNumberRange = 0.010;
constexpr double kTransposed = 0.03;
constexpr double kOutside = 0.01;
constexpr double kLowerCase = 0.22;
constexpr double kNote = 0.05;
constexpr double kAllInOne = 0.25;
constexpr double kZerosLost = 0.06;

// Spellings of street types: USPS Publication 28, appendix C1 (primary names, common abbreviations).
const std::map<std::string, std::vector<std::string>> kSpellings{
    {"St", {"Street", "St.", "str", "STRT"}}, {"Ave", {"Avenue", "Av", "Ave.", "Aven"}}, {"Rd", {"Road", "Rd."}},
    {"Dr", {"Drive", "Drv", "Dr."}},          {"Ln", {"Lane", "Ln."}},                   {"Ct", {"Court", "Ct."}},
    {"Cir", {"Circle", "Circ", "Crcl"}},      {"Pl", {"Place", "Pl."}},                  {"Ter", {"Terrace", "Terr"}},
    {"Way", {"Wy"}},                          {"Trl", {"Trail"}},                        {"Pkwy", {"Parkway", "Pky"}},
    {"Loop", {"Loops"}}};

constexpr std::array kNotes{" (blue house)", ", yellow house behind the shed", " - big oak in front", " corner lot", " (dog in back)", ", white trailer",
                            " across from church", " ring twice"};

std::string swapLetters(std::string word, Random& random, std::string& what) {
  if (word.size() < 4) return word;
  const auto at = 1 + random.below(static_cast<std::uint32_t>(word.size() - 2));
  if (word[at] == ' ' || word[at + 1] == ' ') return word;
  switch (random.below(4)) {
    case 0: what = "two letters swapped"; std::swap(word[at], word[at + 1]); break;
    case 1: what = "a letter dropped"; word.erase(at, 1); break;
    case 2: what = "a letter doubled"; word.insert(at, 1, word[at]); break;
    default: what = "another letter"; word[at] = static_cast<char>('a' + random.below(26)); break;
  }
  return word;
}

const Door* otherCorner(const Town& town, const Door& door, Random& random) {
  std::vector<const Door*> near;
  for (const Door& d : town.doors) {
    if (d.street != door.street && distance(d.at, door.at) < 90) near.push_back(&d);
  }
  return near.empty() ? nullptr : near[random.below(static_cast<std::uint32_t>(near.size()))];
}

class Typing {
 public:
  Typing(const Town& town, const Door& door, Random& random) : town_(town), door_(door), random_(random) {}

  Typed run() {
    out_.place = door_.place;
    out_.postcode = door_.postcode;
    number();
    streetName();
    unit();
    out_.address = number_ + " " + join(words_, " ") + unit_;
    crossing();
    if (chance(kNote)) slip("note added"), out_.address += pickNote();
    placeAndCode();
    if (chance(kLowerCase)) slip("lower case"), out_.address = lowerAscii(out_.address), out_.place = lowerAscii(out_.place);
    return std::move(out_);
  }

 private:
  bool chance(double p) { return random_.uniform() < p; }
  void slip(const char* what) { out_.slips.emplace_back(what); }
  const char* pickNote() { return kNotes[random_.below(static_cast<std::uint32_t>(kNotes.size()))]; }

  void number() {
    number_ = std::to_string(door_.number);
    if (chance(kTransposed) && number_.size() >= 3 && number_[number_.size() - 1] != number_[number_.size() - 2]) {
      std::swap(number_[number_.size() - 1], number_[number_.size() - 2]);
      slip("digits transposed");
    } else if (chance(kOutside)) {
      number_ = std::to_string(door_.number + 20000);
      slip("number outside every range");
    } else if (chance(kNumberRange)) {
      number_ += fmt::format("-{}", door_.number + 2);
      slip("number range");
    }
    number_ += door_.suffix == "-A" && chance(0.3) ? " A" : door_.suffix;
  }

  void streetName() {
    for (std::string_view word : split(door_.street, ' ')) words_.emplace_back(word);
    const std::string first = words_.front();
    const bool directed = first.size() == 1;
    std::string& type = words_.back();
    const auto spellings = kSpellings.find(type);
    if (spellings != kSpellings.end() && words_.size() > (directed ? 2U : 1U)) {
      if (chance(kTypeLost)) {
        slip("type lost");
        words_.pop_back();
      } else if (chance(kTypeOtherwise)) {
        slip("type otherwise");
        type = spellings->second[random_.below(static_cast<std::uint32_t>(spellings->second.size()))];
      }
    }
    if (directed && chance(kDirectionLost)) {
      slip("direction lost");
      words_.erase(words_.begin());
    } else if (directed && chance(kDirectionOtherwise)) {
      slip("direction otherwise");
      words_.front() = first == "N" ? "North" : first == "S" ? "South" : first == "E" ? "East" : "West";
    }
    if (!chance(kLetterSlip)) return;
    const std::size_t name = directed && words_.size() > 1 && words_.front().size() != 2 && door_.street.front() == words_.front().front() ? 1 : 0;
    if (name >= words_.size()) return;
    std::string what;
    words_[name] = swapLetters(words_[name], random_, what);
    if (!what.empty()) out_.slips.push_back(what);
  }

  void unit() {
    if (!door_.unit.empty()) {
      unit_ = (chance(0.5) ? " " : ", ") + door_.unit;
      if (chance(0.2)) unit_ = " #" + door_.unit.substr(door_.unit.find(' ') + 1);
    } else if (chance(kUnitAdded)) {
      slip("unit added");
      unit_ = chance(0.5) ? " Apt B" : " rear";
    }
  }

  void crossing() {
    if (!chance(kCrossing)) return;
    const Door* other = otherCorner(town_, door_, random_);
    if (other == nullptr) return;
    slip("crossing instead of address");
    out_.address = door_.street + (chance(0.5) ? " & " : " and ") + other->street;
  }

  void placeAndCode() {
    if (chance(kTownLost)) slip("town lost"), out_.place.clear();
    if (chance(kPostcodeLost)) out_.postcode.clear();
    if (!out_.postcode.empty() && chance(kZerosLost)) slip("leading zeros lost"), out_.postcode = out_.postcode.substr(4);
    if (!out_.place.empty() && chance(kAllInOne)) {  // all in one cell, with or without its comma
      const bool comma = chance(0.6);
      if (!comma) slip("comma lost");
      out_.address += (comma ? ", " : " ") + out_.place + (chance(0.4) ? " XX" : "");
      if (!out_.postcode.empty() && out_.postcode.size() == 5) out_.address += " " + out_.postcode;
      out_.place.clear();
      out_.postcode.clear();
    }
  }

  const Town& town_;
  const Door& door_;
  Random& random_;
  Typed out_;
  std::string number_, unit_;
  std::vector<std::string> words_;
};

}  // namespace

Typed typed(const Town& town, const Door& door, Random& random) { return Typing(town, door, random).run(); }

}  // namespace leeward::town
