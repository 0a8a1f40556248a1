#pragma once
/// What a crew brings to a door: counts by item, named as analysis::itemKey gives it.
#include <map>
#include <set>
#include <string>
#include <string_view>

#include "analysis/outcomes/catalogue.h"

namespace leeward::study {

using Bring = std::map<std::string, double>;

/// "bowl 1; straw 2" and back. What can't be read is left out.
std::string inWords(const Bring& bring);
Bring bringFrom(std::string_view words);

/// What puts right the items that a check left unmet, one of each: item id -> what to bring (study file, [due] bring).
Bring bringFor(const analysis::ConditionCheck& last, const std::map<std::string, std::string>& what_for);
/// The known items that a promise names, if it is one of bringing: a few words, a list, or a verb of bringing; nothing of what the owner will do.
Bring bringFor(std::string_view promised, const std::set<std::string>& known);

}  // namespace leeward::study
