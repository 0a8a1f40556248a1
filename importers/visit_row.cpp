#include "importers/visit_row.h"

#include <cmath>

#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr std::int64_t kMostDogs = 200;  ///< at one address; more is a slip of the keyboard

/// Collects the first fault of a row.
struct Reader {
  const Rows& rows;
  std::size_t row;
  Fault fault;

  bool failed() const { return !fault.reason.empty(); }
  void fail(Rows::Slot slot, std::string why) {
    if (!failed()) fault = {slot, std::move(why), false};
  }
  /// The value of a reading; the fault is kept if it is bad.
  template <class T>
  std::optional<T> take(Rows::Slot slot, Reading<T> reading) {
    if (reading.bad()) fail(slot, std::move(reading.why));
    return std::move(reading.value);
  }
  std::string_view word(Rows::Slot slot, Reading<std::string_view> (*read)(std::string_view)) {
    const std::string_view text = rows.at(slot, row);
    return text.empty() ? text : take(slot, read(text)).value_or(std::string_view{});
  }
};

void readDates(Reader& reader, const VisitColumns& columns, const VisitStyles& styles, const StudyFrame& frame, VisitRow& visit) {
  if (auto when = reader.take(columns.date, readDate(reader.rows.at(columns.date, reader.row), styles.date))) {
    visit.date = when->date;
    visit.time = std::move(when->time);
    if (auto why = dateFault(when->date, frame); !why.empty()) reader.fail(columns.date, std::move(why));
  }
  if (auto time = reader.take(columns.time, readTime(reader.rows.at(columns.time, reader.row)))) visit.time = *std::move(time);
  const auto day = [&](Rows::Slot slot, const DateStyle& style) -> std::optional<Date> {
    const auto read = reader.take(slot, readDate(reader.rows.at(slot, reader.row), style));
    return read ? std::optional(read->date) : std::nullopt;
  };
  visit.return_by = day(columns.return_by, styles.return_by);
  visit.permission_until = day(columns.permission_until, styles.permission_until);
}

void readPlace(Reader& reader, const VisitColumns& columns, const StudyFrame& frame, VisitRow& visit) {
  visit.address = reader.rows.at(columns.address, reader.row);
  if (visit.address.empty()) {
    visit.address = reader.rows.at(columns.number, reader.row);
    const std::string_view street = reader.rows.at(columns.street, reader.row);
    if (!visit.address.empty() && !street.empty()) visit.address += ' ';
    visit.address += street;
  }
  Position position = readPosition(reader.rows.at(columns.lon, reader.row), reader.rows.at(columns.lat, reader.row), frame);
  visit.lon_lat = position.lon_lat;
  visit.has_position = position.lon_lat || !position.why.empty();
  if (!position.why.empty()) {
    reader.fail(position.wrong_lon ? columns.lon : columns.lat, std::move(position.why));
    reader.fault.exchanged = position.exchanged;
  }
}

/// A wound marked "yes" may mean that there is one.
bool yesIsUnclear(std::string_view item, std::string_view text) {
  if (item != "wound" && item != "parasites") return false;
  const std::string lower = lowerAscii(text);
  return lower == "yes" || lower == "no" || lower == "y" || lower == "n" || lower == "1" || lower == "0" || lower == "true" || lower == "false";
}

std::string readChecks(Reader& reader, const std::vector<Rows::Slot>& slots, bool plus_minus) {
  std::string packed;
  const auto& items = conditionItems();
  for (std::size_t i = 0; i < slots.size(); ++i) {
    const std::string_view text = reader.rows.at(slots[i], reader.row);
    if (text.empty()) continue;
    if (yesIsUnclear(items[i], text)) {
      reader.fail(slots[i], fmt::format("'{}' does not say whether the {} check is met; write met, unmet or not seen", text, items[i]));
      return packed;
    }
    const auto state = reader.take(slots[i], readCheck(text, plus_minus));
    if (!state) continue;
    if (!packed.empty()) packed += ';';
    packed.append(items[i]).append("=").append(*state);
  }
  return packed;
}

void readBodyCondition(Reader& reader, const VisitColumns& columns, const VisitStyles& styles, VisitRow& visit) {
  const std::string_view text = reader.rows.at(columns.body_condition, reader.row);
  if (text.empty()) return;
  const std::string_view own = reader.rows.at(columns.body_scale, reader.row);
  const std::string_view scale_text = own.empty() ? std::string_view(styles.body_scale) : own;
  if (scale_text.empty()) {
    const std::string where = columns.body_scale ? fmt::format("in column '{}'", reader.rows.heading(columns.body_scale)) : std::string("in a column body_scale");
    return reader.fail(columns.body_condition, fmt::format("a score in '{}' without its scale can mean opposite things; name the scale {} (five_ideal_first, five_thin_first, "
                                                           "nine_thin_first), or for the whole file by --map scale=five_ideal_first", reader.rows.heading(columns.body_condition), where));
  }
  const auto scale = reader.take(columns.body_scale, readBodyScale(scale_text));
  if (!scale) return;
  const auto step = parseNumber(text);
  if (!step || *step != std::trunc(*step) || *step < 1 || *step > (*scale)->highest) {
    return reader.fail(columns.body_condition, fmt::format("the scale {} has the whole steps 1 to {}", (*scale)->id, (*scale)->highest));
  }
  visit.body_condition = static_cast<std::int64_t>(*step);
  visit.body_scale = (*scale)->id;
}

bool saysWithdrawn(std::string_view text) {
  static constexpr std::array<std::string_view, 8> kWords = {"withdrawn", "withdrew", "taken back", "took back", "revoked", "retirado", "retirada", "retiro"};
  return std::ranges::find(kWords, lowerAscii(trim(text))) != kWords.end();
}

bool saysNo(std::string_view text) {
  const std::string lower = lowerAscii(text);
  return lower == "no" || lower == "n" || lower == "none" || lower == "-" || lower == "declined" || lower == "refused" || lower == "0";
}

}  // namespace

VisitColumns::VisitColumns(const Rows& rows) {
  const auto set = [&](Rows::Slot& slot, std::string_view field) { slot = rows.slot(field); };
  set(visit_id, "visit_id"), set(date, "date"), set(time, "time"), set(crew, "crew"), set(address, "address");
  set(number, "number"), set(street, "street"), set(place, "place"), set(postcode, "postcode"), set(lon, "lon"), set(lat, "lat");
  set(look, "look"), set(why_here, "why_here"), set(door_result, "door_result"), set(permission_by, "permission_by");
  set(permission_how, "permission_how"), set(permission_for, "permission_for"), set(permission_until, "permission_until");
  set(note_left, "note_left"), set(dogs_seen, "dogs_seen"), set(dogs_met, "dogs_met"), set(dog_name, "dog_name"), set(kind, "kind");
  set(sex, "sex"), set(age, "age"), set(altered, "altered"), set(description, "description");
  set(body_condition, "body_condition"), set(body_scale, "body_scale"), set(done, "done"), set(treatment, "treatment");
  set(promised, "promised"), set(return_by, "return_by"), set(outcome, "outcome"), set(referred_to, "referred_to");
  set(photos, "photos"), set(notes, "notes"), set(hazard, "hazard"), set(household, "household"), set(phone, "phone");
  set(language, "language"), set(heard_by, "heard_by");
  for (const std::string_view item : conditionItems()) {
    found.push_back(rows.slot(item));
    left.push_back(rows.slot("left_" + std::string(item)));
  }
}

Fault readVisitRow(const Rows& rows, const VisitColumns& columns, const VisitStyles& styles, const StudyFrame& frame, std::size_t row,
                   VisitRow& visit) {
  Reader reader{rows, row, {}};
  readPlace(reader, columns, frame, visit);
  readDates(reader, columns, styles, frame, visit);
  visit.look = reader.word(columns.look, readLook);
  visit.why_here = reader.word(columns.why_here, readWhyHere);
  if (visit.why_here.empty()) visit.why_here = styles.why_here;
  visit.door_result = reader.word(columns.door_result, readDoorResult);
  visit.note_left = reader.take(columns.note_left, readYesNo(rows.at(columns.note_left, row)));
  visit.dogs_seen = reader.take(columns.dogs_seen, readCount(rows.at(columns.dogs_seen, row), kMostDogs));
  visit.dogs_met = reader.take(columns.dogs_met, readCount(rows.at(columns.dogs_met, row), kMostDogs));
  visit.found = readChecks(reader, columns.found, styles.plus_minus);
  visit.left = readChecks(reader, columns.left, styles.plus_minus);
  readBodyCondition(reader, columns, styles, visit);
  if (auto done = reader.take(columns.done, readItems(rows.at(columns.done, row)))) visit.done = *std::move(done);
  if (auto treated = reader.take(columns.treatment, readTreatments(rows.at(columns.treatment, row), styles.date))) {
    visit.treatments = *std::move(treated);
  }
  visit.outcome = reader.take(columns.outcome, readOutcome(rows.at(columns.outcome, row), &visit.followed)).value_or(std::string_view{});
  const std::string_view by = rows.at(columns.permission_by, row);
  const bool said = !by.empty() || !rows.at(columns.permission_for, row).empty() || !rows.at(columns.permission_how, row).empty();
  visit.withdrawn = saysWithdrawn(by);
  visit.permitted = said && !visit.withdrawn && !saysNo(by);
  return reader.fault;
}

}  // namespace leeward::importers
