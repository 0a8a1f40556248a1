#pragma once
/// What the ledger knows of clients, as the leak check seeks it.
#include <set>

#include "analysis/disclosure/leaks.h"
#include "viewer/study/run/book.h"

namespace leeward::study {

/// Homes with a look or a sighting (as the reference writes them and as typed), names of households, telephones, animals' names, positions.
/// `but`: doors of a case whose own file is written.
Result<analysis::PrivateFacts> privateFacts(const RunContext& context, const Book& book, const std::set<std::int32_t>& but = {});

}  // namespace leeward::study
