#pragma once
/// `hotspots`: where high values lie by high ones, over the whole and for each area.
#include <cstdint>
#include <string>

#include "analysis/patterns/adjusted_p.h"
#include "analysis/patterns/global_patterns.h"
#include "viewer/study/files/input.h"
#include "viewer/study/files/neighbour_lists.h"

namespace leeward::study {

enum class HotspotStatistic {
  GiStar,   ///< Gi*: an area together with its neighbours
  Gi,       ///< Gi: its neighbours alone
  EbMoran,  ///< all statistics on rates put on one footing by what each area's exposure lets chance do (Assuncao & Reis 1999)
};

struct HotspotAreasRequest {
  LayerRequest areas;    ///< areas, points, or with edges any table
  std::string events;    ///< column
  std::string exposure;  ///< column; "" = the values of `events` as they are
  NeighboursRequest neighbours;
  analysis::WeightStyle weights = analysis::WeightStyle::Share;  ///< of Moran and Geary; Getis and Ord's statistics give every neighbour the weight one
  int permutations = 999;                                        ///< 0 = no p of areas
  HotspotStatistic statistic = HotspotStatistic::GiStar;
  analysis::AdjustBy adjust = analysis::AdjustBy::BenjaminiHochberg;
  std::uint64_t seed = 1;
};

struct HotspotAreas {
  /// The input's columns, then gstar_z, gstar_p, gstar_q (with Gi: gi_z, gi_p, gi_q), moran_i, moran_p, moran_q: two-sided p by conditional
  /// permutation (one for both, since both rise with the neighbours' sum) and the same adjusted for the number of areas. Blank for areas without a
  /// value, exposure or neighbour, and throughout where there is nothing to say.
  Layer layer;
  analysis::PatternTest moran, geary, general_g;  ///< over the whole; nan with the reason in `undefined`
  std::size_t tested = 0;                         ///< areas with a result
  std::size_t high = 0, low = 0;                  ///< of them standing out (q up to 0.05) with a score above, below 0
  std::size_t islands = 0, without_exposure = 0;
  bool without_events = false;  ///< of rates: there is exposure, and nowhere an event
  /// Where none stands out: how many together would have had to reach the smallest p that these permutations can give; 0 or 1: no matter.
  std::size_t needed_together = 0;
  std::string neighbours;                         ///< who is next to whom, in words
  std::vector<RefusedRow> refused;                ///< rows without a value
};

/// Share of findings that may be false, at which areas are said to stand out.
inline constexpr double kFalseShare = 0.05;

/// Errors:  those of reading and of neighbours; InvalidArgument for eb-moran without exposure; BadData for a value that is no number, and with
///          exposure for events or exposure below 0 (with the line).
Result<HotspotAreas> hotspotAreas(const HotspotAreasRequest& request, Progress& progress);

}  // namespace leeward::study
