/// Lines as USPS Publication 28 writes them.
#include <array>

#include "analysis/place/parse.h"
#include "analysis/place/postal_words.h"
#include "analysis/place/tokens.h"

namespace leeward::analysis {
namespace {

using Label = AddressLabel;

// Numbered roads in full (Publication 28, Appendix F, from memory). "SR" is a state road or a state route by state.
constexpr std::array<std::pair<const char*, const char*>, 17> kRoads = {{
    {"CO", "COUNTY"}, {"CNTY", "COUNTY"}, {"CTY", "COUNTY"}, {"CR", "COUNTY ROAD"}, {"HWY", "HIGHWAY"}, {"HIWAY", "HIGHWAY"}, {"HWAY", "HIGHWAY"},
    {"I", "INTERSTATE"}, {"IH", "INTERSTATE"}, {"RT", "ROUTE"}, {"RTE", "ROUTE"}, {"RD", "ROAD"}, {"ST", "STATE"}, {"SR", "STATE ROAD"},
    {"AVE", "AVENUE"}, {"AV", "AVENUE"}, {"TWP", "TOWNSHIP"},
}};

std::string roadWord(const std::string& word) {
  for (const auto& [brief, full] : kRoads) {
    if (word == brief) return full;
  }
  return word;
}

/// The words of a line by element, upper case, in the order typed.
class Line {
 public:
  explicit Line(const ParsedAddress& address) {
    for (const AddressToken& token : address.tokens) {
      for (const Word& word : wordsOf(token.text)) words_.emplace_back(token.label, word.upper);
    }
  }

  std::string delivery() const {
    std::string line;
    add(line, number());
    add(line, street(0));
    if (const std::string second = street(static_cast<int>(Label::SecondStreetNamePreModifier) - static_cast<int>(Label::StreetNamePreModifier));
        !second.empty()) {
      add(line, "&");
      add(line, second);
    }
    add(line, boxes());
    add(line, unit(Label::SubaddressType, Label::SubaddressIdentifier));
    add(line, unit(Label::OccupancyType, Label::OccupancyIdentifier));
    return line;
  }

  std::string town() const {
    std::string line;
    add(line, joined(Label::PlaceName));
    const std::string state = joined(Label::StateName);
    const std::string_view standard = standardState(state);
    add(line, standard.empty() ? state : std::string(standard));
    std::string zip = joined(Label::ZipCode);
    if (zip.size() == 9 && isDigits(zip)) zip.insert(5, "-");
    const std::string more = joined(Label::ZipPlus4);
    add(line, more.empty() ? zip : zip + "-" + more);
    return line;
  }

 private:
  static void add(std::string& line, const std::string& words) {
    if (!words.empty()) line += (line.empty() ? "" : " ") + words;
  }

  std::string joined(Label label) const {
    std::string text;
    for (const auto& [l, word] : words_) {
      if (l == label) add(text, word);
    }
    return text;
  }

  std::string number() const {
    std::string text = joined(Label::AddressNumberPrefix);
    if (text == "#") text.clear();
    text += joined(Label::AddressNumber);
    const std::string suffix = joined(Label::AddressNumberSuffix);
    return isFraction(suffix) ? text + " " + suffix : text + suffix;
  }

  std::string direction(Label label) const {
    std::string text;
    for (const auto& [l, word] : words_) {
      if (l != label) continue;
      const std::string_view standard = standardDirection(word);
      text += standard.empty() ? word : std::string(standard);
    }
    return text;
  }

  std::string street(int shift) const {
    const auto of = [shift](Label label) { return static_cast<Label>(static_cast<int>(label) + shift); };
    std::string text;
    add(text, joined(of(Label::StreetNamePreModifier)));
    add(text, direction(of(Label::StreetNamePreDirectional)));
    const bool numbered = !joined(of(Label::StreetNamePreType)).empty();
    for (const auto& [label, word] : words_) {
      if (label == of(Label::StreetNamePreType)) add(text, roadWord(word));
    }
    std::string name = joined(of(Label::StreetName));
    if (!numbered && name.starts_with("I-")) name = "INTERSTATE " + name.substr(2);
    add(text, name);
    const std::string type = joined(of(Label::StreetNamePostType));
    const std::string_view standard = standardType(type);
    add(text, standard.empty() ? type : std::string(standard));
    add(text, direction(of(Label::StreetNamePostDirectional)));
    const std::string modifier = joined(of(Label::StreetNamePostModifier));
    add(text, standardType(modifier).empty() ? modifier : std::string(standardType(modifier)));
    return text;
  }

  std::string unit(Label type_label, Label id_label) const {
    const std::string type = joined(type_label);
    const std::string_view standard = standardUnit(type);
    std::string id = joined(id_label);
    std::string text = standard.empty() ? type : std::string(standard);
    // The designator makes "#" needless.
    if (!text.empty() && id.starts_with("# ")) id.erase(0, 2);
    add(text, id);
    return text;
  }

  /// "RR 3 BOX 9", "HC 68 BOX 23A", "PO BOX 7" (sections 24, 25, 28).
  std::string boxes() const {
    const std::string group = joined(Label::USPSBoxGroupType);
    const std::string kind = joined(Label::USPSBoxType);
    std::string id = withoutMarks(joined(Label::USPSBoxID));
    if (group.empty()) return id.empty() || kind.empty() ? "" : "PO BOX " + id;
    const bool contract = group.starts_with("HC") || group.find("CONTRACT") != std::string::npos || group.find("STAR") != std::string::npos;
    std::string route = withoutMarks(joined(Label::USPSBoxGroupID));
    // "RR03" is typed as one word.
    if (route.empty()) {
      for (const char c : group) {
        if (c >= '0' && c <= '9') route.push_back(c);
      }
    }
    route.erase(0, std::min(route.find_first_not_of('0'), route.size()));
    std::string text = contract ? "HC" : "RR";
    add(text, route);
    if (!id.empty()) add(text, "BOX " + id);
    return text;
  }

  static std::string withoutMarks(const std::string& id) {
    std::string kept;
    for (const char c : id) {
      if (c != '#' && c != ' ') kept.push_back(c);
    }
    return kept;
  }

  std::vector<std::pair<Label, std::string>> words_;
};

}  // namespace

std::string standardLine(const ParsedAddress& address) {
  const Line line(address);
  const std::string delivery = line.delivery();
  const std::string town = line.town();
  return delivery.empty() || town.empty() ? delivery + town : delivery + ", " + town;
}

}  // namespace leeward::analysis
