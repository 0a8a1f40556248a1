#include "viewer/study/hand_over/pieces.h"

#include <algorithm>
#include <array>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/layer/unpack.h"

namespace leeward::study {
namespace {

constexpr std::uintmax_t kLargest = 1'000'000'000;

Piece fault(const std::string& part, std::string what) { return {.part = part, .text = {}, .bytes = {}, .lon_lat = {}, .fault = std::move(what)}; }
Piece words(const std::string& part, std::string text) { return {.part = part, .text = std::move(text), .bytes = {}, .lon_lat = {}, .fault = {}}; }

void addCharacter(std::string& to, unsigned long code) {
  if (code < 0x80) to += static_cast<char>(code);
  else if (code < 0x800) to += static_cast<char>(0xC0 | code >> 6U), to += static_cast<char>(0x80 | (code & 0x3FU));
  else to += static_cast<char>(0xE0 | (code >> 12U & 0x0FU)), to += static_cast<char>(0x80 | (code >> 6U & 0x3FU)), to += static_cast<char>(0x80 | (code & 0x3FU));
}

/// The character of "&#101;", "&#x65;", "&amp;"; the position behind it, or 0 if that is none.
std::size_t readEntity(std::string_view text, std::size_t at, std::string& to) {
  const std::size_t end = text.find(';', at);
  if (end == std::string_view::npos || end - at > 10) return 0;
  const std::string_view name = text.substr(at + 1, end - at - 1);
  if (name.starts_with('#')) {
    const bool is_hex = name.size() > 1 && (name[1] == 'x' || name[1] == 'X');
    addCharacter(to, std::strtoul(std::string(name.substr(is_hex ? 2 : 1)).c_str(), nullptr, is_hex ? 16 : 10));
    return end + 1;
  }
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 6> kNamed = {{{"amp", "&"}, {"lt", "<"}, {"gt", ">"}, {"quot", "\""}, {"apos", "'"}, {"nbsp", " "}}};
  for (const auto& [known, sign] : kNamed) {
    if (name == known) return to += sign, end + 1;
  }
  return 0;
}

/// Markup without its tags, each replaced by `gap`.
std::string withoutTags(std::string_view text, std::string_view gap) {
  std::string plain;
  plain.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    if (text[at] == '<') {
      const std::size_t end = text.find('>', at);
      plain += gap;
      at = end == std::string_view::npos ? text.size() : end + 1;
    } else if (const std::size_t behind = text[at] == '&' ? readEntity(text, at, plain) : 0; behind > 0) {
      at = behind;
    } else {
      plain += text[at++];
    }
  }
  return plain;
}

/// JSON's and iCalendar's escapes read: \u0031, \n, \, ; and lines that go on after a blank joined.
std::string withoutEscapes(std::string_view text) {
  std::string plain;
  plain.reserve(text.size());
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (text[at] == '\\' && at + 1 < text.size()) {
      const char next = text[++at];
      if (next == 'u' && at + 4 < text.size()) addCharacter(plain, std::strtoul(std::string(text.substr(at + 1, 4)).c_str(), nullptr, 16)), at += 4;
      else plain += next == 'n' || next == 't' || next == 'r' ? ' ' : next;
    } else if (text[at] == '\n' && at + 1 < text.size() && (text[at + 1] == ' ' || text[at + 1] == '\t')) {
      if (!plain.empty() && plain.back() == '\r') plain.pop_back();
      ++at;
    } else {
      plain += text[at];
    }
  }
  return plain;
}

std::string fromBase64(std::string_view text) {
  std::string bytes;
  std::uint32_t held = 0;
  int bits = 0;
  for (const char c : text) {
    const int value = c >= 'A' && c <= 'Z' ? c - 'A' : c >= 'a' && c <= 'z' ? c - 'a' + 26 : isDigit(c) ? c - '0' + 52 : c == '+' ? 62 : c == '/' ? 63 : -1;
    if (value < 0) continue;
    held = held << 6U | static_cast<std::uint32_t>(value), bits += 6;
    if (bits >= 8) bits -= 8, bytes += static_cast<char>(held >> static_cast<unsigned>(bits) & 0xFFU);
  }
  return bytes;
}

/// "data:image/png;base64,...": what stands in it.
void addEmbedded(std::string_view text, const std::string& part, std::vector<Piece>& pieces) {
  static constexpr std::string_view kMark = ";base64,";
  for (std::size_t at = text.find(kMark); at != std::string_view::npos; at = text.find(kMark, at + 1)) {
    const std::size_t from = at + kMark.size(), end = std::min(text.find_first_of("\"')<> ", from), text.size());
    for (auto& piece : piecesOfBytes(fromBase64(text.substr(from, end - from)), part + "embedded data, ")) pieces.push_back(std::move(piece));
  }
}

bool looksLikeText(std::string_view bytes) {
  return std::ranges::none_of(bytes.substr(0, 65'536), [](char c) { return c == '\0'; });
}

void addText(const std::string& bytes, const std::string& part, std::vector<Piece>& pieces) {
  pieces.push_back(words(part, bytes));
  if (bytes.find('<') != std::string::npos && bytes.find('>') != std::string::npos) {
    pieces.push_back(words(part + "text between tags", withoutTags(bytes, " ")));
    pieces.push_back(words(part + "text between tags", withoutTags(bytes, "")));
  }
  if (bytes.find('\\') != std::string::npos || bytes.find("\n ") != std::string::npos) pieces.push_back(words(part, withoutEscapes(bytes)));
  addEmbedded(bytes, part, pieces);
}

/// Without zeros, so that text of two bytes a letter reads as well.
std::string withoutZeros(std::string_view bytes) {
  std::string text;
  text.reserve(bytes.size());
  std::ranges::copy_if(bytes, std::back_inserter(text), [](char c) { return c != '\0'; });
  return text;
}

/// Runs of letters, figures and signs of at least this length; what stands alone among packed or binary data is chance, and would be taken for words.
std::string readable(std::string_view bytes) {
  constexpr std::size_t kLeastRun = 6;
  // Of letters with accents those of Western and Central Europe, two bytes each: chance makes few of them.
  const auto lengthAt = [&](std::size_t at) -> std::size_t {
    const auto c = static_cast<unsigned char>(bytes[at]);
    if (c >= 0x20 && c < 0x7F) return 1;
    return c >= 0xC3 && c <= 0xC5 && at + 1 < bytes.size() && (static_cast<unsigned char>(bytes[at + 1]) & 0xC0U) == 0x80U ? 2 : 0;
  };
  std::string text(bytes.size(), '\n');
  for (std::size_t at = 0; at < bytes.size();) {
    std::size_t end = at;
    while (end < bytes.size() && lengthAt(end) > 0) end += lengthAt(end);
    if (end - at >= kLeastRun) text.replace(at, end - at, bytes.substr(at, end - at));
    at = std::max(end, at + 1);
  }
  return text;
}

/// A PDF without its streams, which are packed and read page by page.
std::string withoutStreams(std::string_view bytes) {
  std::string text;
  for (std::size_t at = 0; at < bytes.size();) {
    const std::size_t begin = std::min(bytes.find("stream", at), bytes.size());
    text += bytes.substr(at, begin - at);
    const std::size_t end = bytes.find("endstream", begin);
    at = end == std::string_view::npos ? bytes.size() : end + 9;
  }
  return text;
}

/// Fields of a database lie side by side: a blank between letters and figures, and before a capital that follows a small letter.
std::string loosened(std::string_view bytes) {
  const auto isSmall = [](char c) { return c >= 'a' && c <= 'z'; };
  const auto isCapital = [](char c) { return c >= 'A' && c <= 'Z'; };
  std::string text;
  text.reserve(bytes.size() + bytes.size() / 8);
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    const char before = i > 0 ? bytes[i - 1] : ' ', c = bytes[i];
    const bool letter_and_figure = ((isSmall(before) || isCapital(before)) && isDigit(c)) || (isDigit(before) && (isSmall(c) || isCapital(c)));
    if (letter_and_figure || (isSmall(before) && isCapital(c))) text += ' ';
    text += c;
  }
  return text;
}

bool isZip(std::string_view bytes) { return bytes.starts_with("PK\x03\x04"); }
bool isPdf(std::string_view bytes) { return bytes.substr(0, 1024).find("%PDF-") != std::string_view::npos; }

}  // namespace

std::vector<Piece> piecesOfBytes(const std::string& bytes, const std::string& part) {
  if (isPicture(bytes)) return picturePieces(bytes, part);
  if (isZip(bytes) || isPdf(bytes)) return {fault(part, "a file within the file, which is not looked through")};
  if (bytes.starts_with("\x1F\x8B") || bytes.starts_with("\x28\xB5\x2F\xFD")) return {fault(part, "packed data, which is not looked through")};
  std::vector<Piece> pieces;
  if (looksLikeText(bytes)) {
    addText(bytes, part, pieces);
    return pieces;
  }
  pieces.push_back({.part = part, .text = readable(bytes), .bytes = bytes, .lon_lat = {}, .fault = {}});
  pieces.push_back(words(part, readable(withoutZeros(bytes))));
  pieces.push_back(words(part, loosened(readable(bytes))));
  return pieces;
}

Result<std::vector<Piece>> piecesOf(const std::filesystem::path& file, const ReadPdf& read_pdf) {
  LEEWARD_ASSIGN(bytes, readFile(file, kLargest));
  std::vector<Piece> pieces;
  if (isPdf(bytes)) {
    LEEWARD_ASSIGN(pages, read_pdf(file));
    pieces = std::move(pages);
    pieces.push_back(words("as it stands in the file", withoutStreams(bytes)));
  } else if (isZip(bytes)) {
    LEEWARD_ASSIGN(members, unpackZip(file));
    for (const auto& member : members) {
      pieces.push_back(words("names of packed files", member.name));
      for (auto& piece : piecesOfBytes(member.bytes, member.name + ", ")) pieces.push_back(std::move(piece));
    }
  } else {
    pieces = piecesOfBytes(bytes, "");
  }
  pieces.push_back(words("the file's name", file.filename().string()));
  return pieces;
}

}  // namespace leeward::study
