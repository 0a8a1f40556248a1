#include "tests/reference/place/mess.h"

#include <algorithm>
#include <array>
#include <cctype>

namespace leeward::test {
namespace {

// Forms that people write for a type: the "commonly used" column of USPS Publication 28, Appendix C1, for the types of
// everyday streets, from memory.
const std::vector<std::pair<std::string, std::vector<std::string>>>& otherForms() {
  static const std::vector<std::pair<std::string, std::vector<std::string>>> forms = {
      {"ST", {"Street", "Str", "Strt", "St."}},   {"AVE", {"Avenue", "Av", "Aven", "Avenu", "Ave."}}, {"RD", {"Road", "Rd."}},
      {"PL", {"Place", "Pl."}},                   {"CT", {"Court", "Ct."}},                           {"DR", {"Drive", "Driv", "Drv", "Dr."}},
      {"TER", {"Terrace", "Terr"}},               {"LN", {"Lane", "Ln."}},                            {"PKWY", {"Parkway", "Pkway", "Pky"}},
      {"CIR", {"Circle", "Circ", "Crcle"}},       {"SQ", {"Square", "Sqr", "Sqre"}},                  {"BLVD", {"Boulevard", "Boul", "Blvd."}},
      {"HWY", {"Highway", "Hiway", "Hwy."}},      {"LNDG", {"Landing"}},                              {"GDNS", {"Gardens"}},
      {"ALY", {"Alley", "Ally"}},                 {"TRL", {"Trail"}},                                 {"LOOP", {"Loop"}},
  };
  return forms;
}

bool isVowelOrConsonant(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }

/// Neighbours on the keyboard of ISO/IEC 9995 in the American arrangement.
char neighbourKey(char c, Random& random) {
  static const std::array<std::string, 3> rows = {"qwertyuiop", "asdfghjkl", "zxcvbnm"};
  const char lower = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  for (const std::string& row : rows) {
    const std::size_t at = row.find(lower);
    if (at == std::string::npos) continue;
    const bool right = at == 0 || (at + 1 < row.size() && random.below(2) == 0);
    return right ? row[at + 1] : row[at - 1];
  }
  return c;
}

std::vector<std::size_t> letters(const std::string& text) {
  std::vector<std::size_t> at;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (isVowelOrConsonant(text[i])) at.push_back(i);
  }
  return at;
}

// The four single slips of Damerau 1964, "A technique for computer detection and correction of spelling errors", CACM 7:
// a letter wrong, missing, extra (here doubled), or two neighbours swapped.
void swapLetters(std::string& text, Random& random) {
  const auto at = letters(text);
  if (at.size() < 3) return;
  for (int attempt = 0; attempt < 8; ++attempt) {
    const std::size_t i = at[random.below(static_cast<std::uint32_t>(at.size() - 1))];
    if (i + 1 >= text.size() || !isVowelOrConsonant(text[i + 1]) || text[i] == text[i + 1]) continue;
    std::swap(text[i], text[i + 1]);
    return;
  }
}

void dropLetter(std::string& text, Random& random) {
  const auto at = letters(text);
  if (at.size() >= 3) text.erase(at[random.below(static_cast<std::uint32_t>(at.size()))], 1);
}

void doubleLetter(std::string& text, Random& random) {
  const auto at = letters(text);
  if (at.size() < 3) return;
  const std::size_t i = at[random.below(static_cast<std::uint32_t>(at.size()))];
  text.insert(i, 1, text[i]);
}

void wrongLetter(std::string& text, Random& random) {
  const auto at = letters(text);
  if (at.size() < 3) return;
  const std::size_t i = at[random.below(static_cast<std::uint32_t>(at.size()))];
  text[i] = neighbourKey(text[i], random);
}

void anySlip(std::string& text, Random& random) {
  switch (random.below(4)) {
    case 0: swapLetters(text, random); break;
    case 1: dropLetter(text, random); break;
    case 2: doubleLetter(text, random); break;
    default: wrongLetter(text, random); break;
  }
}

std::string upper(std::string text) {
  for (char& c : text) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return text;
}

std::string typeOtherwise(const std::string& type, Random& random) {
  for (const auto& [standard, forms] : otherForms()) {
    if (upper(type) == standard) return forms[random.below(static_cast<std::uint32_t>(forms.size()))];
  }
  return type;
}

std::string transposed(std::string number, Random& random) {
  std::vector<std::size_t> at;
  for (std::size_t i = 0; i + 1 < number.size(); ++i) {
    const bool both = std::isdigit(static_cast<unsigned char>(number[i])) != 0 && std::isdigit(static_cast<unsigned char>(number[i + 1])) != 0;
    if (both && number[i] != number[i + 1] && !(i == 0 && number[i + 1] == '0')) at.push_back(i);
  }
  if (at.empty()) return number;
  const std::size_t i = at[random.below(static_cast<std::uint32_t>(at.size()))];
  std::swap(number[i], number[i + 1]);
  return number;
}

std::string moreNumber(const std::string& number, Random& random) {
  const bool plain = std::all_of(number.begin(), number.end(), [](unsigned char c) { return std::isdigit(c) != 0; });
  if (!plain) return number;
  if (random.below(2) == 0) return number + "-" + std::to_string(std::stoi(number) + 2);
  return number + std::string(1, "AB"[random.below(2)]);
}

std::string streetOf(const CleanAddress& a, const std::string& name, const std::string& type, bool direction) {
  std::string text;
  const auto add = [&](const std::string& word) {
    if (!word.empty()) text += (text.empty() ? "" : " ") + word;
  };
  if (direction) add(a.direction);
  add(name);
  add(type);
  if (direction) add(a.after);
  return text;
}

/// A blank inside the street's name or between name and type, or the one behind the number.
std::string withoutOneBlank(std::string line, Random& random) {
  std::vector<std::size_t> blanks;
  const std::size_t end = std::min(line.find(','), line.size());
  for (std::size_t i = 0; i < end; ++i) {
    if (line[i] == ' ') blanks.push_back(i);
  }
  if (!blanks.empty()) line.erase(blanks[random.below(static_cast<std::uint32_t>(blanks.size()))], 1);
  return line;
}

std::string inSomeCase(std::string text, Random& random) {
  const std::uint32_t draw = random.below(10);
  if (draw < 3) {
    for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  } else if (draw == 3) {
    text = upper(text);
  }
  return text;
}

std::string crossingOf(const CleanAddress& a, Random& random) {
  static const std::array<const char*, 4> joins = {" & ", " and ", " at ", "&"};
  const std::string both = a.name + (a.type.empty() ? "" : " " + a.type) + joins[random.below(4)] + a.crosses;
  return (random.below(4) == 0 ? "corner " : "") + both;
}

}  // namespace

bool MessyLine::has(Mess kind) const { return std::find(kinds.begin(), kinds.end(), kind) != kinds.end(); }

MessyLine spoil(const CleanAddress& a, Random& random) {
  MessyLine line;
  const auto happens = [&](Mess kind, double rate) {
    const bool drawn = random.uniform() < rate;
    if (drawn) line.kinds.push_back(kind);
    return drawn;
  };
  std::string number = a.number;
  std::string name = a.name;
  std::string type = a.type;
  if (happens(Mess::Swapped, 0.04)) swapLetters(name, random);
  if (happens(Mess::Dropped, 0.04)) dropLetter(name, random);
  if (happens(Mess::Doubled, 0.02)) doubleLetter(name, random);
  if (happens(Mess::TwoSlips, 0.03)) {
    anySlip(name, random);
    anySlip(name, random);
  }
  if (!type.empty() && happens(Mess::TypeLost, 0.08)) type.clear();
  if (!type.empty() && happens(Mess::TypeOtherwise, 0.15)) type = typeOtherwise(type, random);
  const bool direction = (a.direction.empty() && a.after.empty()) || !happens(Mess::DirectionLost, 0.06);
  if (happens(Mess::NumberMore, 0.04)) number = moreNumber(number, random);
  if (happens(Mess::Transposed, 0.03)) {
    number = transposed(number, random);
    line.recoverable = number == a.number;
  }
  if (happens(Mess::Outside, 0.01)) {
    number = std::to_string(20000 + random.below(9000));
    line.recoverable = false;
  }
  std::string text = number + ' ' + streetOf(a, name, type, direction);
  if (happens(Mess::UnitAdded, 0.10)) {
    static const std::array<const char*, 5> units = {" apt ", " #", " unit ", " Apt. ", ", apt "};
    text += units[random.below(5)] + std::to_string(1 + random.below(9));
  }
  if (!a.crosses.empty() && happens(Mess::Crossing, 0.03)) {
    text = crossingOf(a, random);
    line.recoverable = true;
  }
  if (happens(Mess::SpaceLost, 0.02)) text = withoutOneBlank(text, random);
  const bool comma = !happens(Mess::CommaLost, 0.20);
  if (!a.town.empty() && !happens(Mess::TownLost, 0.15)) {
    text += (comma ? ", " : " ") + a.town;
    if (random.below(3) == 0) text += (comma ? ", " : " ") + a.state + (random.below(2) == 0 ? " " + a.postcode : "");
  }
  line.text = inSomeCase(std::move(text), random);
  return line;
}

}  // namespace leeward::test
