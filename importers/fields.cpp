#include "importers/fields.h"

#include <array>

#include "importers/field_lists.h"

namespace leeward::importers {
namespace {

constexpr std::array<const char*, 11> kNames = {"visits", "sightings", "premises", "streets", "blocks",
                                                "areas",  "census",    "heat",     "weather", "jurisdictions", "stock"};

}  // namespace

const char* kindName(Kind kind) { return kNames[static_cast<std::size_t>(kind)]; }

std::optional<Kind> parseKind(std::string_view name) {
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (name == kNames[i]) return static_cast<Kind>(i);
  }
  return std::nullopt;
}

const std::vector<Field>& fields(Kind kind) {
  switch (kind) {
    case Kind::Visits: return visitFields();
    case Kind::Sightings: return sightingFields();
    case Kind::Premises: return premisesFields();
    case Kind::Streets: return streetFields();
    case Kind::Blocks:
    case Kind::Areas:
    case Kind::Jurisdictions: return areaFields();
    case Kind::Census: return censusFields();
    case Kind::Weather: return weatherFields();
    case Kind::Stock: return stockFields();
    case Kind::Heat: break;
  }
  return heatFields();
}

const Field* findField(Kind kind, std::string_view name) {
  for (const Field& field : fields(kind)) {
    if (field.name == name) return &field;
  }
  return nullptr;
}

}  // namespace leeward::importers
