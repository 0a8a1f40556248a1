#pragma once
/// One row of a visit log, read and checked; and where its fields stand.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importers/crew_rows.h"

namespace leeward::importers {

struct VisitColumns {
  explicit VisitColumns(const Rows& rows);

  Rows::Slot visit_id, date, time, crew, address, number, street, place, postcode, lon, lat, look, why_here, door_result;
  Rows::Slot permission_by, permission_how, permission_for, permission_until, note_left, dogs_seen, dogs_met;
  Rows::Slot dog_name, kind, sex, age, altered, description, body_condition, body_scale;
  Rows::Slot done, treatment, promised, return_by, outcome, referred_to, photos, notes, hazard, household, phone, language, heard_by;
  std::vector<Rows::Slot> found, left;  ///< by conditionItems()
};

/// How the file writes what a column as a whole decides.
struct VisitStyles {
  DateStyle date, return_by, permission_until;
  bool plus_minus = false;  ///< checks are marked + and -
  std::string_view why_here;  ///< of looks that don't say their own; "" = not said (a word of static storage)
  std::string body_scale;   ///< of all body condition scores that don't say their own; "" = none was named
};

/// What had to be read; free text stays in the table.
struct VisitRow {
  std::optional<Date> date, return_by, permission_until;
  std::string time, address;
  std::optional<Point> lon_lat;
  std::string_view look, why_here, door_result, outcome, body_scale;  ///< words of static storage
  std::optional<bool> note_left;
  std::optional<std::int64_t> dogs_seen, dogs_met, body_condition;
  std::string found, left;  ///< packed checks
  std::vector<Item> done;
  std::vector<Treatment> treatments;
  std::string followed;
  bool permitted = false;  ///< permission was said to be given
  bool withdrawn = false;  ///< a permission given before was taken back at this look
  bool has_position = false;
};

/// Reads one row; the fault's reason is empty if all of it could be used.
Fault readVisitRow(const Rows& rows, const VisitColumns& columns, const VisitStyles& styles, const StudyFrame& frame,
                   std::size_t row, VisitRow& visit);

}  // namespace leeward::importers
