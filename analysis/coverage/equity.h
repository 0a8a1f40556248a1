#pragma once
/// Whether the looking goes where the need is: concentration curve and index.
///
/// Areas stand in order of need, least first. The curve says what share of all looks the doors up to each share of doors got; the index is twice
/// the area between the diagonal and the curve: 0 where each door got as many looks whatever the need around it, above 0 where doors in need got
/// more, below where they got fewer; -1 to 1.
///
/// Source:  Kakwani, Wagstaff & van Doorslaer 1997 (J Econometrics 77:87): C = 2 / mean * sum of f x R - 1 with R the middle of each area's share
///          of doors, and its standard error by the delta method, areas as the observations.
/// Edges:   areas without doors, looks or need that is a number take no part; areas of equal need stand at one place of the order (their doors and
///          looks together), so that the order within them changes nothing. Fewer than three places, or no look at all: undefined (nan).
/// Can't be concluded: need is an index of areas; doors within one are not alike. Looks are where the record says, not what they led to.
#include <span>
#include <vector>

namespace leeward::analysis {

struct Concentration {
  double index = 0, standard_error = 0;  ///< nan where undefined
  double low = 0, high = 0;  ///< by the normal distribution, at the level asked for
  std::vector<double> doors_up_to, looks_up_to;  ///< the curve: shares from 0 to 1, both beginning with 0
  std::size_t areas = 0;  ///< that took part
};

/// need, doors, looks: one an area. Columns of unequal length: undefined.
Concentration concentrationOf(std::span<const double> need, std::span<const double> doors, std::span<const double> looks, double level = 0.90);

}  // namespace leeward::analysis
