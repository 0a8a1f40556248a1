#include "shared/base/text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

namespace leeward {
namespace {

constexpr std::string_view kNoBreakSpace = "\xC2\xA0";

bool isSpace(char c) { return c == ' ' || (c >= '\t' && c <= '\r'); }

void appendUtf8(std::string& out, char32_t code) {
  if (code < 0x80) {
    out += static_cast<char>(code);
  } else if (code < 0x800) {
    out += static_cast<char>(0xC0 | (code >> 6));
    out += static_cast<char>(0x80 | (code & 0x3F));
  } else {
    out += static_cast<char>(0xE0 | (code >> 12));
    out += static_cast<char>(0x80 | ((code >> 6) & 0x3F));
    out += static_cast<char>(0x80 | (code & 0x3F));
  }
}

/// Length of the well-formed sequence that starts at `at`, 0 if there is none (Unicode 15, table 3-7).
std::size_t utf8Length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[at + i]); };
  const auto follows = [&](std::size_t i, unsigned low = 0x80, unsigned high = 0xBF) {
    return at + i < text.size() && byte(i) >= low && byte(i) <= high;
  };
  const unsigned lead = byte(0);
  if (lead < 0x80) return 1;
  if (lead >= 0xC2 && lead <= 0xDF) return follows(1) ? 2 : 0;
  if (lead >= 0xE0 && lead <= 0xEF) {
    const unsigned low = lead == 0xE0 ? 0xA0 : 0x80;
    const unsigned high = lead == 0xED ? 0x9F : 0xBF;
    return follows(1, low, high) && follows(2) ? 3 : 0;
  }
  if (lead >= 0xF0 && lead <= 0xF4) {
    const unsigned low = lead == 0xF0 ? 0x90 : 0x80;
    const unsigned high = lead == 0xF4 ? 0x8F : 0xBF;
    return follows(1, low, high) && follows(2) && follows(3) ? 4 : 0;
  }
  return 0;
}

}  // namespace

std::string_view trim(std::string_view text) {
  for (bool again = true; again && !text.empty();) {
    again = false;
    if (isSpace(text.front())) text.remove_prefix(1), again = true;
    else if (text.starts_with(kNoBreakSpace)) text.remove_prefix(2), again = true;
  }
  for (bool again = true; again && !text.empty();) {
    again = false;
    if (isSpace(text.back())) text.remove_suffix(1), again = true;
    else if (text.ends_with(kNoBreakSpace)) text.remove_suffix(2), again = true;
  }
  return text;
}

std::string lowerAscii(std::string_view text) {
  std::string out(text);
  std::ranges::transform(out, out.begin(), [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
  return out;
}

std::string upperAscii(std::string_view text) {
  std::string out(text);
  std::ranges::transform(out, out.begin(), [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c; });
  return out;
}

std::vector<std::string_view> split(std::string_view text, char separator) {
  std::vector<std::string_view> pieces;
  for (;;) {
    const std::size_t at = text.find(separator);
    pieces.push_back(text.substr(0, at));
    if (at == std::string_view::npos) return pieces;
    text.remove_prefix(at + 1);
  }
}

std::string join(const std::vector<std::string>& pieces, std::string_view separator) {
  return fmt::format("{}", fmt::join(pieces, separator));
}

bool isValidUtf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = utf8Length(text, at);
    if (length == 0) return false;
    at += length;
  }
  return true;
}

std::string fromWindows1252(std::string_view bytes) {
  // 0x80..0x9F of Windows-1252 (WHATWG Encoding Standard, index windows-1252); 0 = undefined.
  static constexpr std::array<char32_t, 32> kHigh = {
      0x20AC, 0, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0, 0x017D, 0,
      0, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0, 0x017E, 0x0178};
  std::string out;
  out.reserve(bytes.size() + 8);
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80 || byte >= 0xA0) appendUtf8(out, byte);
    else appendUtf8(out, kHigh[byte - 0x80U] != 0 ? kHigh[byte - 0x80U] : 0xFFFD);
  }
  return out;
}

std::optional<double> parseNumber(std::string_view text) {
  text = trim(text);
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::optional<std::int64_t> parseInteger(std::string_view text) {
  text = trim(text);
  if (text.starts_with('+')) text.remove_prefix(1);
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::string formatNumber(double value) {
  if (std::isnan(value)) return {};
  if (value == 0) return "0";  // no "-0"
  if (std::abs(value) < 1e15 && value == std::trunc(value)) return fmt::format("{:.0f}", value);
  return fmt::format("{}", value);
}

std::string formatCount(std::int64_t count) {
  std::string digits = std::to_string(count < 0 ? -count : count);
  for (auto at = static_cast<std::ptrdiff_t>(digits.size()) - 3; at > 0; at -= 3) digits.insert(static_cast<std::size_t>(at), 1, ',');
  return count < 0 ? "-" + digits : digits;
}

}  // namespace leeward
