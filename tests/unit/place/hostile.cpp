#include "tests/unit/place/hostile.h"

#include <cmath>

#include "analysis/place/parse.h"
#include "analysis/place/place.h"
#include "shared/base/text.h"

namespace leeward::test {
namespace {

using analysis::PlacedBy;

std::string lettersAndDigits(std::string_view text) {
  std::string kept;
  for (const char c : text) {
    if (isDigit(c) || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z')) kept.push_back(c);
  }
  return kept;
}

std::string parseFault(const std::string& text) {
  const analysis::ParsedAddress parsed = analysis::parseAddress(text);
  if (parsed.was_cut != (text.size() > analysis::kLongestAddress)) return "was_cut is wrong";
  std::string words;
  for (const auto& token : parsed.tokens) words += token.text;
  std::string typed = lettersAndDigits(text), said = lettersAndDigits(words);
  if (parsed.was_cut) typed.resize(std::min(typed.size(), said.size()));
  if (said != typed) return "words were lost or made up";
  const std::string line = analysis::standardLine(parsed);
  if (line.size() > 4 * text.size() + 64) return "the standard line is longer than its line could make it";
  for (std::size_t label = 0; label < analysis::kAddressLabels; ++label) {
    if (analysis::element(parsed, static_cast<analysis::AddressLabel>(label)).size() > 2 * text.size()) return "an element is longer than its words and blanks";
  }
  return "";
}

}  // namespace

std::string lineFault(const analysis::AddressIndex& index, const std::string& text) {
  if (std::string fault = parseFault(text); !fault.empty()) return fault;
  const analysis::Placement p = analysis::placeAddress(index, {text, "", ""});
  if (!(p.score >= 0 && p.score <= 1) || !(p.runner_up_score >= 0 && p.runner_up_score <= 1)) return "a score outside 0..1";
  if (p.candidates.size() > 5) return "more than five candidates";
  const bool has_place = std::isfinite(p.position.x) && std::isfinite(p.position.y) && p.uncertainty_m > 0;
  if (has_place != (p.placed_by != PlacedBy::None)) return "a position without a grade, or a grade without a position";
  if (p.decision == analysis::PlaceDecision::Placed && p.score < analysis::kPlacedScore) return "placed below the threshold";
  const analysis::Placement again = analysis::placeAddress(index, {text, "", ""});
  if (again.matched_address != p.matched_address || again.score != p.score) return "another answer the second time";
  if (!analysis::placeAddress(index, {"", text, text}).candidates.empty() && text.empty()) return "a place from nothing";
  return "";
}

std::string wayThrough(const analysis::AddressIndex& index, const std::string& text) {
  std::string way;
  std::string last;
  for (const auto& token : analysis::parseAddress(text).tokens) {
    std::string label = analysis::labelName(token.label);
    if (label != last) way += label + ' ';
    last = std::move(label);
  }
  const analysis::Placement p = analysis::placeAddress(index, {text, "", ""});
  return way + name(p.placed_by) + std::to_string(p.candidates.size()) + p.why;
}

const std::vector<std::string>& hostileSeeds() {
  static const std::vector<std::string> seeds = {
      "120 Elm St, Nearside", "corner 4th & elm", "300 blk Oak, blue house", "1402 Oak??", "12-16 N Main St Apt 4-B, Nearside XX 00001-1234", "N165W2123 US Highway 50",
      "PO Box 12, RR 3", "41-B Sixth St NW #2", "County Road 12 and FM 544", "123 1/2 Avenue B rear",
      // Pieces that other programs would act on, and bytes that are no text.
      "'; DROP TABLE premises; --", "=HYPERLINK(\"x\")", "+1-1", "@SUM(A1)", "<script>1</script>", "%s%n%d", "../../../x", "\\\\x\\y", std::string("12\0Elm\0St", 9),
      "\xE2\x80\xAE" "12 Elm St", "\xE2\x80\x8F\xE2\x81\xA6" "Oak Ave", "\xFF\xFE\x80 Elm", "\xC3", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xEF\xBB\xBF" "12 Elm",
      "\xC2\xBD Elm St", "1\xC2\xA0" "Elm", "\xE7\x8E\x8B", "\xF0\x9F\x90\x95 12 Elm", "999999999999999999999 Elm", "-1 Elm", "00000 Elm", "1e9 Elm", "0x10 Elm", ",,,,,", "((((((", "#####", "&&&&", "////",
      "------", "......", "St St St St", "N S E W NE", "Ave Ave & Ave", "\t\r\n", ""};
  return seeds;
}

std::string mutated(const std::vector<std::string>& lines, Random& random) {
  const auto below = [&](std::size_t count) { return static_cast<std::size_t>(random.below(static_cast<std::uint32_t>(count))); };
  const auto any = [&](const std::vector<std::string>& from) -> const std::string& { return from[below(from.size())]; };
  std::string line = any(lines);
  for (std::size_t changes = 1 + below(8); changes > 0; --changes) {
    const std::size_t at = below(line.size() + 1);
    const std::size_t length = std::min(line.size() - at, 1 + below(12));
    switch (below(8)) {
      case 0: line.insert(at, 1, static_cast<char>(below(256))); break;
      case 1: line.erase(at, length); break;
      case 2: if (at < line.size()) line[at] = static_cast<char>(below(256)); break;
      case 3: line.insert(at, any(hostileSeeds())); break;
      case 4: line = line.substr(0, at) + any(lines).substr(0, 1 + below(40)); break;
      case 5: {
        const std::string piece = line.substr(at, length);
        for (std::size_t times = 1 + below(30); times > 0; --times) line.insert(at, piece);
        break;
      }
      case 6: line.insert(at, 1, " ,.-/#&@()\t\n'"[below(13)]); break;
      default: line.insert(at, std::to_string(random() >> below(31))); break;
    }
  }
  // Most lines stay as short as lines are; some are longer than is looked at.
  if (line.size() > 300 && below(20) != 0) line.resize(300);
  if (line.size() > 3000) line.resize(3000);
  return line;
}

std::string escaped(std::string_view text) {
  constexpr std::string_view kHex = "0123456789ABCDEF";
  std::string line;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x20 && byte < 0x7F && c != '\\') line.push_back(c);
    else line += {'\\', 'x', kHex[byte >> 4U], kHex[byte & 15U]};
  }
  return line;
}

std::string unescaped(std::string_view line) {
  std::string text;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] != '\\' || i + 3 >= line.size()) {
      text.push_back(line[i]);
      continue;
    }
    text.push_back(static_cast<char>(std::stoi(std::string(line.substr(i + 2, 2)), nullptr, 16)));
    i += 3;
  }
  return text;
}

}  // namespace leeward::test
