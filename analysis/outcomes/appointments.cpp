#include "analysis/outcomes/appointments.h"

#include <algorithm>
#include <array>
#include <span>
#include <string>

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

constexpr auto kAppointment = std::to_array<std::string_view>({" appointment", " appt", " clinic", " surgery", " cita ", " clinica", " cirugia"});
constexpr auto kNeuter = std::to_array<std::string_view>({" neuter", " spay", " castra", " esteriliz"});
constexpr auto kMoved = std::to_array<std::string_view>({" bring", " drive", " take ", " takes ", " drop", " pick", " fetch", " transport", " lleva", " trae", " recog"});
constexpr auto kToArrange = std::to_array<std::string_view>({" arrange", " talk", " ask ", " discuss", " book ", " to book", " make an ", " find a ", " info", " hablar", " pedir", " buscar", " hacer cita"});
constexpr auto kTeam = std::to_array<std::string_view>({" van ", " we ", " we ll ", " crew ", " our ", " team ", " pick up", " pickup", " picks up", " picked up", " fetch", " transport", " no car ", " no ride ",
                                                        " recog", " llevamos", " camioneta ", " sin carro ", " sin coche "});
constexpr auto kOwner = std::to_array<std::string_view>({" owner brings", " owner will bring", " owner drives", " owner will drive", " owner takes", " owner will take", " owner drops", " owner will drop", " they bring", " they will bring", " they drive", " own car ",
                                                         " family brings", " family will bring", " family drives", " dueno lleva", " duena lleva", " dueno trae", " duena trae", " dueno lo lleva", " duena lo lleva", " dueno la lleva", " duena la lleva", " ellos llevan"});

/// Lower case, blanks for what is no letter or digit, Spanish accents off, a blank at both ends.
std::string plain(std::string_view text) {
  static constexpr auto kAccents = std::to_array<std::pair<std::string_view, char>>(
      {{"á", 'a'}, {"é", 'e'}, {"í", 'i'}, {"ó", 'o'}, {"ú", 'u'}, {"ñ", 'n'}, {"Á", 'a'}, {"É", 'e'}, {"Í", 'i'}, {"Ó", 'o'}, {"Ú", 'u'}, {"Ñ", 'n'}});
  std::string words = " ";
  const std::string lower = lowerAscii(text);
  for (std::size_t at = 0; at < lower.size(); ++at) {
    const auto accent = std::ranges::find_if(kAccents, [&](const auto& one) { return std::string_view(lower).substr(at).starts_with(one.first); });
    const bool kept = isDigit(lower[at]) || (lower[at] >= 'a' && lower[at] <= 'z');
    const char next = accent != kAccents.end() ? accent->second : kept ? lower[at] : ' ';
    if (accent != kAccents.end()) at += accent->first.size() - 1;
    if (next != ' ' || words.back() != ' ') words += next;
  }
  return words + " ";
}

bool hasOneOf(const std::string& text, std::span<const std::string_view> words) {
  return std::ranges::any_of(words, [&](std::string_view word) { return text.find(word) != std::string::npos; });
}

}  // namespace

std::optional<Appointment> appointmentIn(std::string_view promised) {
  const std::string text = plain(promised);
  const bool neuter = hasOneOf(text, kNeuter);
  if (hasOneOf(text, kToArrange) || !(hasOneOf(text, kAppointment) || (neuter && hasOneOf(text, kMoved)))) return std::nullopt;
  const bool team = hasOneOf(text, kTeam), owner = hasOneOf(text, kOwner);
  return Appointment{neuter, team == owner ? Brings::NotSaid : team ? Brings::Team : Brings::Owner};
}

}  // namespace leeward::analysis
