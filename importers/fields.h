#pragma once
/// The fields that each kind of file can have: the one list that guessing, `--map`, help texts and templates share.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::importers {

enum class Kind { Visits, Sightings, Premises, Streets, Blocks, Areas, Census, Heat, Weather, Jurisdictions, Stock };

/// "visits", "sightings", ... as the command and study.toml write them.
const char* kindName(Kind kind);
std::optional<Kind> parseKind(std::string_view name);

/// What a field's values look like; guessing weighs a column's contents by it.
enum class FieldType {
  Text,
  Id,
  Address,
  Number,
  Count,
  Longitude,  ///< or an easting, when a CRS is named
  Latitude,
  Date,
  Time,
  YesNo,
  Word,    ///< one of a short list (look, why_here, door_result, outcome ...)
  Check,   ///< met, unmet, not seen
  List,    ///< "straw 2; swivel 1"
  Setting  ///< no column at all: `--map unit=F`, `--map date_order=dmy`
};

struct Field {
  std::string_view name;
  bool required = false;
  FieldType type = FieldType::Text;
  std::string_view meaning;   ///< a sentence for people
  std::string_view synonyms;  ///< other headings, normalised (see normalHeading), '|' between
};

/// In the order of the template; settings last.
const std::vector<Field>& fields(Kind kind);
const Field* findField(Kind kind, std::string_view name);

/// Ids of the condition check, ascending: area, bedding, behaviour ... wound. A column `left_<id>` is the check as left.
const std::vector<std::string_view>& conditionItems();

}  // namespace leeward::importers
