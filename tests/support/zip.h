#pragma once
/// ZIP archives made byte by byte (APPNOTE.TXT 6.3.9, 4.3), honest ones and others.
#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace leeward::test {

/// CRC-32 of ISO 3309, as ZIP asks for it.
inline std::uint32_t crc32(std::string_view bytes) {
  std::uint32_t crc = 0xFFFFFFFF;
  for (const char c : bytes) {
    crc ^= static_cast<unsigned char>(c);
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1U) ^ ((crc & 1U) != 0 ? 0xEDB88320U : 0U);
  }
  return ~crc;
}

/// A deflate stream (RFC 1951, 3.2.6: fixed codes) of `start` and then about `length` times its last byte: one literal a byte,
/// then matches of length 258 at distance 1, 13 bits each.
inline std::string deflatedRun(std::string_view start, std::uint64_t length) {
  std::string out;
  unsigned held = 0, count = 0;
  const auto put = [&](unsigned value, unsigned bits, bool high_first) {
    for (unsigned i = 0; i < bits; ++i) {
      held |= ((value >> (high_first ? bits - 1 - i : i)) & 1U) << count;
      if (++count == 8) out += static_cast<char>(held), held = count = 0;
    }
  };
  put(1, 1, false);  // the last block
  put(1, 2, false);  // of fixed codes
  for (const char c : start) put(0x30U + static_cast<unsigned char>(c), 8, true);  // literals below 144
  for (std::uint64_t made = 0; made < length; made += 258) {
    put(0xC5, 8, true);  // code 285: length 258
    put(0, 5, true);     // distance 1
  }
  put(0, 7, true);  // the end
  while (count != 0) put(0, 1, false);
  return out;
}

class Zip {
 public:
  Zip& add(const std::string& name, std::string_view content) {
    return addRaw(name, content, content.size(), 0, crc32(content));
  }
  /// A packed entry whose directory says `unpacked` bytes, true or not.
  Zip& addDeflated(const std::string& name, std::string_view packed, std::uint64_t unpacked) { return addRaw(name, packed, unpacked, 8, 0); }
  /// An entry of which only the directory knows.
  Zip& claim(const std::string& name, std::uint64_t packed, std::uint64_t unpacked, unsigned flags = 0) {
    addDirectory(name, packed, unpacked, 8, 0, 0, flags);
    return *this;
  }
  std::string bytes() const {
    std::string out = body_ + directory_;
    put(out, 0x06054B50, 4), put(out, 0, 4), put(out, entries_, 2), put(out, entries_, 2);
    put(out, directory_.size(), 4), put(out, body_.size(), 4), put(out, 0, 2);
    return out;
  }

 private:
  static void put(std::string& out, std::uint64_t value, int length) {
    for (int i = 0; i < length; ++i) out += static_cast<char>(value >> (8U * static_cast<unsigned>(i)) & 0xFFU);
  }
  Zip& addRaw(const std::string& name, std::string_view packed, std::uint64_t unpacked, unsigned method, std::uint32_t crc) {
    const std::size_t at = body_.size();
    put(body_, 0x04034B50, 4), put(body_, 20, 2), put(body_, 0, 2), put(body_, method, 2), put(body_, 0, 4);
    put(body_, crc, 4), put(body_, packed.size(), 4), put(body_, unpacked, 4), put(body_, name.size(), 2), put(body_, 0, 2);
    body_ += name;
    body_ += packed;
    addDirectory(name, packed.size(), unpacked, method, crc, at, 0);
    return *this;
  }
  void addDirectory(const std::string& name, std::uint64_t packed, std::uint64_t unpacked, unsigned method, std::uint32_t crc, std::size_t at, unsigned flags) {
    put(directory_, 0x02014B50, 4), put(directory_, 20, 2), put(directory_, 20, 2), put(directory_, flags, 2), put(directory_, method, 2);
    put(directory_, 0, 4), put(directory_, crc, 4), put(directory_, packed, 4), put(directory_, unpacked, 4), put(directory_, name.size(), 2);
    put(directory_, 0, 2), put(directory_, 0, 2), put(directory_, 0, 2), put(directory_, 0, 2), put(directory_, 0, 4), put(directory_, at, 4);
    directory_ += name;
    ++entries_;
  }
  std::string body_, directory_;
  std::uint64_t entries_ = 0;
};

/// An OpenDocument sheet (ISO/IEC 26300) of text cells; cells that begin with '=' are numbers, with '@' dates.
inline std::string odsBytes(const std::string& rows_xml, const std::string& prolog = "") {
  const std::string content =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>" + prolog +
      "<office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" "
      "xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" "
      "office:version=\"1.2\"><office:body><office:spreadsheet>" + rows_xml + "</office:spreadsheet></office:body></office:document-content>";
  return Zip().add("mimetype", "application/vnd.oasis.opendocument.spreadsheet").add("content.xml", content).bytes();
}
inline std::string odsRow(std::initializer_list<std::string_view> cells) {
  std::string out = "<table:table-row>";
  for (const std::string_view cell : cells) {
    if (cell.starts_with('=')) {
      out.append("<table:table-cell office:value-type=\"float\" office:value=\"").append(cell.substr(1)).append("\"/>");
    } else if (cell.starts_with('@')) {
      out.append("<table:table-cell office:value-type=\"date\" office:date-value=\"").append(cell.substr(1)).append("\"/>");
    } else if (cell.empty()) {
      out += "<table:table-cell/>";
    } else {
      out.append("<table:table-cell office:value-type=\"string\"><text:p>").append(cell).append("</text:p></table:table-cell>");
    }
  }
  return out + "</table:table-row>";
}
inline std::string odsSheet(const std::string& name, const std::string& rows) { return "<table:table table:name=\"" + name + "\">" + rows + "</table:table>"; }

}  // namespace leeward::test
