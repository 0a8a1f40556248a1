#include "analysis/place/sound.h"

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

bool isOneOf(char letter, std::string_view letters) { return letter != '\0' && letters.find(letter) != std::string_view::npos; }
bool isVowel(char letter) { return isOneOf(letter, "AEIOU"); }

/// One name, letter by letter. '\0' stands for what lies outside it.
class Speaker {
 public:
  explicit Speaker(std::string_view name) : name_(name) {}

  std::string spoken() {
    if (starts("KN") || starts("GN") || starts("PN") || starts("WR") || starts("AE")) at_ = 1;
    for (; at_ < name_.size(); ++at_) {
      const char letter = name_[at_];
      if (letter == near(-1) && letter != 'C') continue;
      if (isVowel(letter)) {
        if (out_.empty()) out_ += 'A';
      } else if (isDigit(letter)) {
        out_ += letter;
      } else {
        consonant(letter);
      }
    }
    return out_;
  }

 private:
  char near(int offset) const {
    const std::size_t i = at_ + static_cast<std::size_t>(offset);
    return i < name_.size() ? name_[i] : '\0';
  }
  bool starts(std::string_view with) const { return name_.starts_with(with); }
  bool follows(std::string_view text) const { return name_.substr(at_).starts_with(text); }
  bool isSoft() const { return isOneOf(near(1), "EIY"); }

  void consonant(char letter) {
    switch (letter) {
      case 'B':
        if (near(-1) != 'M' || near(1) != '\0') out_ += 'B';
        break;
      case 'C': ofC(); break;
      case 'D': out_ += near(1) == 'G' && isOneOf(near(2), "EIY") ? 'J' : 'T'; break;
      case 'G': ofG(); break;
      case 'H':
        if (!isOneOf(near(-1), "CSPTGR") && isVowel(near(1))) out_ += 'H';
        break;
      case 'K':
        if (near(-1) != 'C') out_ += 'K';
        break;
      case 'P': out_ += near(1) == 'H' ? 'F' : 'P'; break;
      case 'Q': out_ += near(1) == 'U' && isVowel(near(2)) && near(3) != '\0' ? "KW" : "K"; break;
      case 'S': ofS(); break;
      case 'T': ofT(); break;
      case 'V': out_ += 'F'; break;
      case 'W':
      case 'Y':
        if (isVowel(near(1))) out_ += letter;
        break;
      case 'X': out_ += at_ == 0 ? "S" : "KS"; break;
      case 'Z': out_ += 'S'; break;
      default:
        if (letter >= 'A' && letter <= 'Z') out_ += letter;
    }
  }

  void ofC() {
    if (near(-1) == 'S' && isSoft()) return;  // "SCENIC"
    if (follows("CIA") || (near(1) == 'H' && near(-1) != 'S')) out_ += 'X';
    else out_ += isSoft() ? 'S' : 'K';
  }

  void ofG() {
    if (near(-1) == 'D' && isSoft()) return;                      // "BRIDGE": said with the D
    if (near(1) == 'H' && !isVowel(near(2))) return;              // "KNIGHT"
    if (near(1) == 'N' && (near(2) == '\0' || follows("GNED"))) return;
    out_ += isSoft() ? 'J' : 'K';
  }

  void ofS() {
    if (follows("SCH")) return ofSch();
    out_ += near(1) == 'H' || follows("SIO") || follows("SIA") ? 'X' : 'S';
  }

  /// "SCHOOL" and "SCHAEFER": in names both are written, and the ear can't say which.
  void ofSch() {
    out_ += 'X';
    at_ += 2;
  }

  void ofT() {
    if (follows("TCH")) return;
    if (follows("TIA") || follows("TIO")) out_ += 'X';
    else out_ += near(1) == 'H' && !follows("THOM") ? '0' : 'T';
  }

  std::string_view name_;
  std::size_t at_ = 0;
  std::string out_;
};

}  // namespace

std::string soundOf(std::string_view upper) {
  std::string said = Speaker(upper).spoken();
  // A doubled sound, as of "CKS" and "X", is one.
  std::string once;
  for (const char sound : said) {
    if (once.empty() || once.back() != sound || isDigit(sound)) once += sound;
  }
  return once;
}

}  // namespace leeward::analysis
