#include "shared/ledger/tombstones.h"

#include <fmt/format.h>

#include "shared/base/hash.h"
#include "shared/base/text.h"

namespace leeward::ledger {
namespace {

/// Letters, digits and bytes of other scripts, lower case.
std::string foldedFor(std::string_view words) {
  std::string folded;
  for (const char c : lowerAscii(words)) {
    if (isDigit(c) || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80) folded += c;
  }
  return folded;
}

}  // namespace

Result<Tombstones> Tombstones::read(const Database& database) {
  Tombstones all;
  LEEWARD_ASSIGN(secret, database.prepare("SELECT value FROM settings WHERE name = 'masking_secret'"));
  LEEWARD_ASSIGN(found, secret.step());
  if (found) all.secret_ = secret.text(0);
  LEEWARD_ASSIGN(select, database.prepare("SELECT tag, day FROM tombstones"));
  while (true) {
    LEEWARD_ASSIGN(more, select.step());
    if (!more) return all;
    all.day_of_.emplace(select.text(0), select.text(1));
  }
}

std::string Tombstones::tagOf(What what, std::string_view words) const {
  const std::string folded = foldedFor(words);
  if (folded.empty()) return {};
  const auto tag = hmacSha256(secret_, fmt::format("forgotten {} {}", static_cast<int>(what), folded));
  std::string text;
  for (const unsigned char byte : tag) text += fmt::format("{:02x}", byte);
  return text;
}

std::string Tombstones::dayOf(What what, std::string_view words) const {
  const auto found = day_of_.find(tagOf(what, words));
  return found == day_of_.end() ? "" : found->second;
}

bool Tombstones::holds(What what, std::string_view words, std::string_view day) const {
  if (empty()) return false;
  const auto found = day_of_.find(tagOf(what, words));
  return found != day_of_.end() && (day.empty() || day <= found->second);
}

Result<void> Tombstones::add(const Database& database, What what, std::string_view words, const std::string& day) const {
  const std::string tag = tagOf(what, words);
  if (tag.empty()) return {};
  LEEWARD_ASSIGN(insert, database.prepare("INSERT INTO tombstones (tag, day) VALUES (?1, ?2) ON CONFLICT (tag) DO UPDATE SET day = max(day, excluded.day)"));
  return insert.bind(1, std::string_view(tag)).bind(2, std::string_view(day)).run();
}

}  // namespace leeward::ledger
