#pragma once
/// Scan statistics: where, and when, events lie closer together than their exposure explains.
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "analysis/scans/likelihood.h"
#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

enum class ScanTime : std::uint8_t {
  None,           ///< places alone
  Retrospective,  ///< any run of periods up to half of them (Kulldorff, Athas, Feurer, Miller & Key 1998)
  Prospective,    ///< runs that are still on in the last period (Kulldorff 2001)
};

struct ScanRequest {
  ScanModel model = ScanModel::Poisson;
  ScanRates rates = ScanRates::High;  ///< windows with more than their share, or with less
  bool ellipses = false;          ///< beside circles; plane coordinates only
  ScanTime time = ScanTime::None;
  double largest = 0.5;           ///< share of all exposure (of all periods) that a window's places may hold; above 0, at most 1
  std::size_t replicates = 999;   ///< 0 = no p-values
  std::uint64_t seed = 1;
  std::size_t most_clusters = 10;
  std::optional<double> theta;    ///< Poisson: replicates vary as a negative-binomial fit of this size, > 0
};

struct ScanAreas {
  std::vector<Point> places;      ///< where the areas stand, finite
  bool lon_lat = false;           ///< degrees, distances on the sphere; else plane metres
  std::size_t periods = 1;
  std::vector<double> events;     ///< a cell (place * periods + period): whole numbers from 0
  std::vector<double> exposure;   ///< a cell: from 0; whole numbers not below the events with Bernoulli
  std::vector<double> expected;   ///< a cell: Poisson; what to expect beside each other instead of the exposure; empty = the exposure
};

struct ScanCluster {
  std::size_t centre = 0;                ///< place
  double radius = 0;                     ///< metres; of an ellipse the short half-axis
  double ratio = 1, angle = 0;           ///< long half-axis / short one; radians from east
  std::vector<std::size_t> members;      ///< places, ascending
  std::size_t first_period = 0, last_period = 0;
  double observed = 0, expected = 0;
  double relative_risk = 0;              ///< rate inside / rate outside; infinite if there is no event outside
  double llr = 0;                        ///< log likelihood ratio, without an ellipse's penalty
  double statistic = 0;                  ///< with it: what is ranked
  double p = std::numeric_limits<double>::quiet_NaN();         ///< (1 + replicates whose largest statistic is as large) / (1 + replicates)
  double p_gumbel = std::numeric_limits<double>::quiet_NaN();  ///< by a Gumbel distribution with the mean and variance of those
};

struct ScanResult {
  double events = 0, exposure = 0;
  std::vector<ScanCluster> clusters;  ///< each place's best window, best first, those without a place in common with a better one
  std::vector<double> maxima;         ///< per replicate its largest statistic
};

/// Windows around every place grow through the other places in order of distance (one ends only where the next distance is strictly larger) up to
/// `largest`; the one whose events are most unlike the rest's rate is the most likely cluster. High rates, or low ones.
/// Edges:   no events, one place, or no window small enough: no clusters. Places without exposure are members of windows, and no more.
/// Errors:  InvalidArgument: options out of range, sizes that don't fit, a place or number that isn't finite. BadData: no exposure at all; events that
///          are no whole numbers; events where nothing was exposed (or expected); with Bernoulli more events than exposure, or exposure that is no whole
///          number or above 4 billion. Cancelled.
/// Cost:    places^2 / 2 windows a replicate, nearly all of them by the block (maxima.h); parallel.
/// Source:  Kulldorff 1997 (Commun. Stat. Theory Methods 26, 1481-1496); ellipses: Kulldorff, Huang, Pickle & Duczmal 2006 (Stat. Med. 25, 3929-3943);
///          time: Kulldorff et al. 1998 (Am. J. Public Health 88, 1377-1380), Kulldorff 2001 (J. R. Stat. Soc. A 164, 61-72); Gumbel p: Abrams, Kleinman &
///          Kulldorff 2010 (Int. J. Health Geogr. 9, 61).
/// Accuracy: tests/reference/statistics/scan_test.cpp.
Result<ScanResult> scanAreas(const ScanAreas& areas, const ScanRequest& request, Progress& progress);

}  // namespace leeward::analysis
