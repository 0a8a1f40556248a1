#pragma once
/// The lists behind fields(); one function a kind.
#include "importers/fields.h"

namespace leeward::importers {

const std::vector<Field>& visitFields();
const std::vector<Field>& sightingFields();
const std::vector<Field>& premisesFields();
const std::vector<Field>& streetFields();
const std::vector<Field>& areaFields();
const std::vector<Field>& censusFields();
const std::vector<Field>& weatherFields();
const std::vector<Field>& heatFields();
const std::vector<Field>& stockFields();

}  // namespace leeward::importers
