// Census codes as files carry them, and as they should be.
#include <algorithm>
#include <array>
#include <map>

#include "importers/public_parts.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

/// "1500000US290190005001" -> "290190005001": what follows the summary level, its variants (five to nine characters in all) and US.
std::string_view withoutPrefix(std::string_view text) {
  const std::size_t us = text.find("US");
  if (us == std::string_view::npos || us < 5 || us > 9 || !allDigits(text.substr(us + 2)) || !allDigits(text.substr(0, 3))) return text;
  return text.substr(us + 2);
}

/// "2.50174E+11": a spreadsheet has rounded the code.
bool isRounded(std::string_view text) {
  return text.find_first_of("eE") != std::string_view::npos && text.find('+') != std::string_view::npos && parseNumber(text).has_value();
}

std::string_view plainId(std::string_view text) {
  text = withoutPrefix(trim(text));
  if (text.ends_with(".0") && allDigits(text.substr(0, text.size() - 2))) text.remove_suffix(2);
  return text;
}

/// Whether a code can begin with a state's or territory's number (FIPS 5-2; 3, 7, 14, 43, 52 and others were never given out).
bool beginsWithAState(std::string_view code) {
  const int state = (code[0] - '0') * 10 + (code[1] - '0');
  static constexpr auto kGaps = std::to_array<int>({0, 3, 7, 14, 43, 52});
  static constexpr auto kTerritories = std::to_array<int>({60, 66, 69, 72, 78});
  return (state <= 56 && std::ranges::find(kGaps, state) == kGaps.end()) || std::ranges::find(kTerritories, state) != kTerritories.end();
}

/// What a column of codes looks like, without regard to lost zeros.
struct CodeLengths {
  std::map<std::size_t, std::size_t> counts;  ///< rows by length
  std::size_t all = 0, others = 0;
  bool strange_states = false;  ///< some of eleven digits can't begin with a state's number
  bool says_block_group = false;

  /// Whether all codes are of the full length or one short, some or `also_all_short` all of them.
  bool fits(std::size_t full) const {
    const auto of = [&](std::size_t length) { const auto at = counts.find(length); return at == counts.end() ? std::size_t{0} : at->second; };
    return all > 0 && of(full) + of(full - 1) == all;
  }
  bool has(std::size_t length) const { return counts.contains(length); }
};

CodeLengths lengthsOf(const Rows& rows, Rows::Slot slot) {
  CodeLengths lengths;
  const Rows::Slot name = rows.slot("name");
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const std::string_view id = plainId(rows.at(slot, row));
    if (id.empty()) continue;
    if (!allDigits(id)) {
      lengths.others += row == 0 && id.find_first_of("0123456789") == std::string_view::npos ? 0 : 1;  // a row of labels says nothing
      continue;
    }
    ++lengths.counts[id.size()];
    ++lengths.all;
    if (id.size() == 11 && !beginsWithAState(id)) lengths.strange_states = true;
    if (rows.at(name, row).starts_with("Block Group")) lengths.says_block_group = true;
  }
  if (normalHeading(rows.heading(slot)).find("block group") != std::string::npos) lengths.says_block_group = true;
  return lengths;
}

/// Headings that promise a code of the census and no number of somebody's own.
bool promisesCensusCode(const std::string& heading) {
  std::string normal = normalHeading(heading);
  std::erase(normal, ' ');
  return normal.starts_with("geoid") || normal.starts_with("fips") || normal == "id2" || normal == "stfid";
}

}  // namespace

GeoId mendGeoId(std::string_view text, std::size_t digits) {
  GeoId mended;
  const std::string_view plain = plainId(text);
  mended.prefix_cut = withoutPrefix(trim(text)).size() != trim(text).size();
  mended.padded = digits > 0 && allDigits(plain) && plain.size() + 1 == digits;
  mended.id = (mended.padded ? "0" : "") + std::string(plain);
  return mended;
}

std::size_t usualDigits(const Rows& rows, Rows::Slot slot) {
  const CodeLengths lengths = lengthsOf(rows, slot);
  if (lengths.others > 0 || lengths.all == 0) return 0;
  // Codes of states 01 to 09 lose their zero in a spreadsheet: 15 digits of a block become 14, 12 of a block group 11, 11 of a tract 10,
  // 5 of a county 4, 2 of a state 1. Eleven digits alone are tracts, unless the file says block groups or no state has such a number.
  if (lengths.fits(15)) return 15;
  if (lengths.fits(12) && (lengths.has(12) || lengths.says_block_group || lengths.strange_states)) return 12;
  if (lengths.fits(11)) return 11;
  if (promisesCensusCode(rows.heading(slot))) {
    for (const std::size_t full : {std::size_t{5}, std::size_t{2}}) {
      if (lengths.fits(full)) return full;
    }
  }
  return 0;
}

std::vector<std::string> idsOf(PublicParts& parts, Rows::Slot slot) {
  std::vector<std::string> ids(parts.rows.size());
  if (!slot) {
    parts.remark("There is no column for the id; the row's number is taken");
    for (std::size_t row = 0; row < ids.size(); ++row) ids[row] = std::to_string(row + 1);
    return ids;
  }
  const std::size_t digits = usualDigits(parts.rows, slot);
  std::size_t cut = 0, padded = 0;
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (parts.refused[row]) continue;
    const std::string_view text = parts.rows.at(slot, row);
    if (text.empty()) parts.refuse(row, slot, "the row has no id");
    else if (isRounded(text)) parts.refuse(row, slot, "a spreadsheet has rounded the code; save the column as text before it is opened there");
    if (parts.refused[row]) continue;
    GeoId mended = mendGeoId(text, digits);
    cut += mended.prefix_cut ? 1 : 0;
    padded += mended.padded ? 1 : 0;
    ids[row] = std::move(mended.id);
  }
  if (cut > 0) parts.remark(fmt::format("The prefix up to 'US' was taken off {} ids", formatCount(static_cast<std::int64_t>(cut))));
  if (padded > 0) parts.remark(fmt::format("The leading zero was put back on {} ids of {} digits", formatCount(static_cast<std::int64_t>(padded)), digits - 1));
  return ids;
}

}  // namespace leeward::importers
