#include "shared/table/csv_text.h"

#include <algorithm>
#include <array>
#include <cstring>

#include "shared/base/text.h"

namespace leeward {
namespace {

/// How many of the last bytes belong to a UTF-8 sequence that goes on in the next piece.
std::size_t unfinishedTail(std::string_view text) {
  for (std::size_t back = 1; back <= std::min<std::size_t>(3, text.size()); ++back) {
    const auto byte = static_cast<unsigned char>(text[text.size() - back]);
    if (byte < 0x80) return 0;
    if (byte >= 0xC0) return (byte >= 0xF0 ? 4U : byte >= 0xE0 ? 3U : 2U) > back ? back : 0;
  }
  return 0;
}

/// isValidUtf8 after a quick look for plain ASCII, which most pieces are.
bool isUtf8Piece(std::string_view text) {
  std::size_t at = 0;
  for (; at + 8 <= text.size(); at += 8) {
    std::uint64_t word = 0;
    std::memcpy(&word, text.data() + at, 8);
    if ((word & 0x8080808080808080ULL) != 0) break;
  }
  return isValidUtf8(text.substr(at));
}

void appendUtf8(std::string& out, std::uint32_t code) {
  if (code < 0x80) {
    out += static_cast<char>(code);
    return;
  }
  if (code < 0x800) {
    out += static_cast<char>(0xC0U | (code >> 6U));
  } else {
    if (code < 0x10000) {
      out += static_cast<char>(0xE0U | (code >> 12U));
    } else {
      out += static_cast<char>(0xF0U | (code >> 18U));
      out += static_cast<char>(0x80U | ((code >> 12U) & 0x3FU));
    }
    out += static_cast<char>(0x80U | ((code >> 6U) & 0x3FU));
  }
  out += static_cast<char>(0x80U | (code & 0x3FU));
}

}  // namespace

CsvText::CsvText(const std::filesystem::path& file, bool as_windows_1252) : in_(file, std::ios::binary) {
  std::array<char, 3> mark{};
  in_.read(mark.data(), 3);
  const std::string_view read(mark.data(), static_cast<std::size_t>(in_.gcount()));
  std::streamoff skip = 0;
  if (read.starts_with("\xFF\xFE")) encoding_ = Encoding::Utf16Little, skip = 2;
  else if (const auto unmarked = unmarkedUtf16()) encoding_ = *unmarked;
  else if (read.starts_with("\xFE\xFF")) encoding_ = Encoding::Utf16Big, skip = 2;
  else if (read == "\xEF\xBB\xBF") skip = 3;
  if (as_windows_1252 && encoding_ == Encoding::Utf8) encoding_ = Encoding::Windows1252;
  in_.clear();
  in_.seekg(skip);
  raw_.resize(kPieceBytes + 4);
}

bool CsvText::next() {
  in_.read(raw_.data() + kept_, static_cast<std::streamsize>(kPieceBytes));
  const auto got = static_cast<std::size_t>(in_.gcount());
  bytes_ += got;
  std::string_view bytes(raw_.data(), kept_ + got);
  std::size_t tail = 0;
  if (encoding_ == Encoding::Utf8) {
    tail = got == 0 ? 0 : unfinishedTail(bytes);
    bytes.remove_suffix(tail);
    not_utf8_ = not_utf8_ || !isUtf8Piece(bytes);
    text_.assign(bytes);
  } else if (encoding_ == Encoding::Windows1252) {
    text_ = fromWindows1252(bytes);
  } else {
    tail = decodeUtf16(bytes, got == 0);
  }
  std::memmove(raw_.data(), raw_.data() + (kept_ + got - tail), tail);
  kept_ = tail;
  return got != 0 || !text_.empty();
}

/// Without a mark: plain text has a zero in every second byte and nowhere else.
std::optional<CsvText::Encoding> CsvText::unmarkedUtf16() {
  std::array<char, 1024> start{};
  in_.clear();
  in_.seekg(0);
  in_.read(start.data(), static_cast<std::streamsize>(start.size()));
  const auto pairs = static_cast<std::size_t>(in_.gcount()) / 2;
  std::array<std::size_t, 2> zeros{};
  for (std::size_t i = 0; i < 2 * pairs; ++i) zeros[i % 2] += start[i] == '\0' ? 1 : 0;
  if (pairs < 8) return std::nullopt;
  if (zeros[1] * 10 >= pairs * 9 && zeros[0] == 0) return Encoding::Utf16Little;
  if (zeros[0] * 10 >= pairs * 9 && zeros[1] == 0) return Encoding::Utf16Big;
  return std::nullopt;
}

/// Fills text_; returns how many bytes must wait for the next piece.
std::size_t CsvText::decodeUtf16(std::string_view bytes, bool last) {
  text_.clear();
  const std::size_t low = encoding_ == Encoding::Utf16Little ? 0 : 1;
  const auto unit = [&](std::size_t at) {
    return static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[at + low]) |
                                      (static_cast<unsigned>(static_cast<unsigned char>(bytes[at + 1 - low])) << 8U));
  };
  std::size_t at = 0;
  while (at + 2 <= bytes.size()) {
    const std::uint32_t code = unit(at);
    const bool leads = code >= 0xD800 && code < 0xDC00;
    if (leads && at + 4 > bytes.size() && !last) break;
    if (leads && at + 4 <= bytes.size() && unit(at + 2) >= 0xDC00 && unit(at + 2) < 0xE000) {
      appendUtf8(text_, 0x10000 + ((code - 0xD800) << 10U) + (unit(at + 2) - 0xDC00));
      at += 4;
    } else {
      appendUtf8(text_, code >= 0xD800 && code < 0xE000 ? 0xFFFD : code);
      at += 2;
    }
  }
  return last ? 0 : bytes.size() - at;
}

}  // namespace leeward
