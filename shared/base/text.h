#pragma once
/// Text helpers that never look at the locale. Text is UTF-8 throughout.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace leeward {

constexpr bool isDigit(char c) { return c >= '0' && c <= '9'; }  ///< ASCII only
constexpr bool allDigits(std::string_view text) {           ///< false for ""
  return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

std::string_view trim(std::string_view text);               ///< ASCII white space and U+00A0 off both ends
std::string lowerAscii(std::string_view text);              ///< A-Z only; other bytes as they are
std::string upperAscii(std::string_view text);
std::vector<std::string_view> split(std::string_view text, char separator);  ///< keeps empty pieces; "" gives one
std::string join(const std::vector<std::string>& pieces, std::string_view separator);
bool isValidUtf8(std::string_view text);
/// Windows-1252 (a superset of Latin-1 in practice) to UTF-8; the five undefined bytes become U+FFFD.
std::string fromWindows1252(std::string_view bytes);

/// The whole of `text` (trimmed) as a plain C-locale number; nothing for anything else, nan or inf.
/// Thousands separators and decimal commas are the importers' business.
std::optional<double> parseNumber(std::string_view text);
std::optional<std::int64_t> parseInteger(std::string_view text);
/// Shortest form that reads back to the same double; nan gives "".
std::string formatNumber(double value);
/// A whole number with thin groups for people: 101,355.
std::string formatCount(std::int64_t count);

}  // namespace leeward
