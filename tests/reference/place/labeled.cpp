#include "tests/reference/place/labeled.h"

#include <fstream>
#include <sstream>

namespace leeward::test {
namespace {

using analysis::AddressLabel;

void replaceAll(std::string& text, const std::string& from, const std::string& to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) text.replace(at, from.size(), to);
}

std::string decoded(std::string text) {
  const std::pair<const char*, const char*> entities[] = {{"&lt;", "<"},         {"&gt;", ">"},         {"&quot;", "\""},
                                                          {"&apos;", "'"},       {"&#163;", "\xC2\xA3"}, {"&#189;", "\xC2\xBD"},
                                                          {"&#8212;", "\xE2\x80\x94"}, {"&amp;", "&"}};
  for (const auto& [from, to] : entities) replaceAll(text, from, to);
  return text;
}

AddressLabel pooled(AddressLabel label) {
  switch (label) {
    case AddressLabel::AddressNumberPrefix:
    case AddressLabel::AddressNumberSuffix: return AddressLabel::AddressNumber;
    case AddressLabel::ZipPlus4: return AddressLabel::ZipCode;
    default: break;
  }
  const int shift = static_cast<int>(AddressLabel::SecondStreetNamePreModifier) - static_cast<int>(AddressLabel::StreetNamePreModifier);
  const bool second = label >= AddressLabel::SecondStreetNamePreModifier && label <= AddressLabel::SecondStreetNamePostModifier;
  return second ? static_cast<AddressLabel>(static_cast<int>(label) - shift) : label;
}

}  // namespace

std::vector<LabeledString> readLabeled(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::stringstream all;
  all << in.rdbuf();
  const std::string xml = all.str();
  std::vector<LabeledString> strings;
  std::size_t at = 0;
  while ((at = xml.find('<', at)) != std::string::npos) {
    const std::size_t close = xml.find('>', at);
    if (close == std::string::npos) break;
    const std::string tag = xml.substr(at + 1, close - at - 1);
    at = close + 1;
    if (tag == "AddressString") strings.emplace_back();
    if (tag.empty() || tag[0] == '/' || tag == "AddressString" || tag == "AddressCollection" || strings.empty()) continue;
    std::size_t end = xml.find('<', at);
    std::string body = xml.substr(at, end - at);
    // A sign or comma written between two elements belongs to the word before it.
    const std::size_t after = xml.find('>', end);
    const std::size_t next = xml.find('<', after);
    const std::string between = xml.substr(after + 1, next - after - 1);
    if (between.find_first_of(",;") != std::string::npos) body += ',';
    const AddressLabel label = analysis::labelFromName(tag).value_or(AddressLabel::NotAddress);
    std::istringstream pieces(decoded(body));
    for (std::string word; pieces >> word;) {
      strings.back().words.emplace_back(label, word);
      strings.back().text += (strings.back().text.empty() ? "" : " ") + word;
    }
    at = end;
  }
  return strings;
}

std::string labelTrack(const std::vector<std::pair<AddressLabel, std::string>>& words) {
  std::string track;
  for (const auto& [label, word] : words) {
    for (const char c : word) {
      const bool counts = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '#' || c == '&';
      if (counts) track.push_back(static_cast<char>('0' + static_cast<int>(pooled(label))));
    }
  }
  return track;
}

std::string labelTrack(const analysis::ParsedAddress& parsed) {
  std::vector<std::pair<AddressLabel, std::string>> words;
  for (const auto& token : parsed.tokens) words.emplace_back(token.label, token.text);
  return labelTrack(words);
}

}  // namespace leeward::test
