#pragma once
/// What the templates for crews say, in English and Spanish: headings and the words that a cell is chosen from. Both are read back by the
/// same lists as every other file.
#include <string>
#include <string_view>
#include <vector>

#include "importers/fields.h"

namespace leeward::importers {

enum class Language { English, Spanish };

struct TemplateColumn {
  std::string_view field;
  std::string heading;
  FieldType type = FieldType::Text;
  std::string_view meaning;          ///< English
  std::vector<std::string> choices;  ///< empty: anything may be written
  std::string example;               ///< of one invented row; "" = left blank
};

/// The columns of a visit or sighting log or a stock list, in order (number and street stand in one: address). Other kinds: none.
std::vector<TemplateColumn> templateColumns(Kind kind, Language language);

/// The Spanish heading of a field of a crew's file, accents and all; "" where it has none.
std::string spanishHeading(std::string_view field);
/// The same as guessing compares it, with and without accents, '|' between.
std::string spanishSynonyms(std::string_view field);

}  // namespace leeward::importers
