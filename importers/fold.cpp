#include "importers/fold.h"

namespace leeward::importers {

std::string folded(std::string_view text) {
  // The letters of U+00C0 to U+00DE; those of U+00E0 to U+00FE lie 32 further. '.' = no plain letter.
  static constexpr std::string_view kPlain = "aaaaaa.ceeeeiiii.nooooo..uuuuy.";
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    const auto next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0U;
    const std::string_view three = text.substr(i, 3);
    if (byte < 0x80) {
      out += byte >= 'A' && byte <= 'Z' ? static_cast<char>(byte + 32) : text[i];
    } else if (byte == 0xC3 && next >= 0x80 && (next & 0x1FU) < kPlain.size() && kPlain[next & 0x1FU] != '.') {
      out += kPlain[next & 0x1FU];
      ++i;
    } else if (byte == 0xC2 && (next == 0xA0 || next == 0xBA || next == 0xAA)) {
      if (next == 0xA0) out += ' ';
      ++i;
    } else if (three == "\xE2\x80\xAF" || three == "\xE2\x80\x89" || three == "\xE2\x80\x99") {
      out += three == "\xE2\x80\x99" ? '\'' : ' ';
      i += 2;
    } else {
      out += text[i];
    }
  }
  return out;
}

}  // namespace leeward::importers
