#pragma once
/// Areal interpolation: figures known for one set of areas, carried over to another.
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// How much of a source area's figures belongs to a target area.
struct AreaShare {
  std::size_t from = 0;
  std::size_t to = 0;
  double area = 0;       ///< of the overlap, square metres
  double of_source = 0;  ///< of a count: overlap / area of the source, or points in both / points in the source; 0..1
  double weight = 0;     ///< of a mean: the overlap's area, or its points
};

struct AreaShares {
  std::vector<AreaShare> shares;         ///< ordered by (from, to)
  std::vector<double> source_uncovered;  ///< per source: share of its area in no target, 0..1
  std::vector<double> target_covered;    ///< per target: share of its area under sources, 0..1
};

/// Overlaps as shares. Both layers in one plane that is true to area. Overlapping targets each get their share, so that a
/// source's shares can then sum to more than 1 (source_uncovered is 0). Cancelled; problems of the overlay.
Result<AreaShares> sharesByArea(const Geometries& from, const Geometries& to, Progress& progress);

struct PointShares {
  AreaShares shares;
  std::size_t sources_without_points = 0;  ///< with an area of their own: their counts are spread by area
};

/// Shares by where points (address points, say) stand, for figures that go with them better than with land.
///
/// A count goes to the targets as the points of its source do; a source without any point is spread by area. A mean is weighted by
/// points, so that sources without points don't weigh and targets without points have none. A point counts in every area that holds
/// it; one on a border only, in the first row. nan points are left out. source_uncovered is the share of the source's points in no
/// target (of its area where it has none); target_covered stays by area.
/// Shapes:  as sharesByArea(); all three in one plane.
/// weights: what each point stands for (housing units, say), 0 or more; empty = one each; nan is taken as 0. InvalidArgument for another length or a weight below 0.
Result<PointShares> sharesByPoints(const Geometries& from, const Geometries& to, std::span<const Point> points, Progress& progress, std::span<const double> weights = {});

/// A figure per source area.
struct SourceFigure {
  std::string name;
  std::vector<double> values;   ///< nan = missing, which is never zero
  std::vector<double> margins;  ///< of error, at one level; empty = none known
};

struct TargetFigure {
  std::string name;
  std::vector<double> values;       ///< per target; nan where nothing or too little is known
  std::vector<double> margins;      ///< empty if the source had none
  double source_total = 0;          ///< counts: sum over sources; means: nan
  double placed_total = 0;          ///< counts: sum over targets; source_total less this is the part in no target
  std::size_t missing_sources = 0;  ///< how many source values were missing
};

struct ApportionRequest {
  std::vector<SourceFigure> counts;  ///< split by AreaShare::of_source
  std::vector<SourceFigure> means;   ///< averaged over the covered part of the target, by AreaShare::weight
  /// A target is missing when sources without a value cover more than this share of its covered part; slivers below it are left
  /// out.
  double missing_share = 0.01;
};

struct Apportioned {
  std::vector<TargetFigure> counts, means;
};

/// Spreads counts (by area: as if people stood evenly within each source area) and averages means.
///
/// counts: sum over sources of value x of_source. means: sum of value x weight / sum of weights, so only the covered part
/// counts. Margins: the ACS sum rule on the weighted margins (shares taken as exact; what one source gives to several
/// targets is not independent). If targets tile the sources, totals are kept.
/// Errors:  InvalidArgument for a median (see isMedian): a median is neither a count nor a mean; for a figure whose length
///          isn't the number of sources.
/// Source:  Goodchild & Lam 1980 (Geo-Processing 1, 297-312); margins as in analysis/overlay/margins.h.
Result<Apportioned> apportion(const AreaShares& shares, std::size_t sources, std::size_t targets,
                              const ApportionRequest& request);

/// True if a column's name says that it is a median: the word "median" or "med" in it, or an ACS table of medians (B01002,
/// B19013, ...).
bool isMedian(std::string_view name);

}  // namespace leeward::analysis
