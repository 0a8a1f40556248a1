#pragma once
/// How wide to spread points, read from the points themselves.
#include <cstdint>
#include <span>
#include <utility>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// Scott's rule on each axis, standard deviation x n^(-1/6): for one broad heap of points; wide where there are several.
/// nan for fewer than two points. Points must be finite here and below. Source: Scott 1992, Multivariate Density Estimation.
std::pair<double, double> scottBandwidths(std::span<const Point> points);

/// The standard deviation of a Gaussian kernel under which the points, each foretold by all that lie elsewhere, are likeliest. Points at one spot foretell
/// nothing of each other, or repeated reports would draw the bandwidth to 0. Between a five-hundredth and a half of the box's longer side, to 0.1 %.
/// Above 2,000 points a seeded sample is taken and the bandwidth rescaled by n^(-1/6).
/// Errors:  BadData for points at fewer than three spots. Cancelled.
/// Source:  Habbema, Hermans & van den Broek 1974 and Duin 1976 (IEEE Trans. Comput. C-25, 1175-1179): likelihood cross-validation.
Result<double> likelihoodBandwidth(std::span<const Point> points, std::uint64_t seed, Progress& progress);

/// The standard deviation at which the mean squared error of the density of a clustered (Cox) process is least, by Ripley's K with translation correction (Ohser 1983) in the
/// box. A disc of twice the standard deviation stands for the kernel. Follows the tightest clusters. Above 2,000 points K comes from a seeded sample.
/// Errors:  BadData for fewer than three points or a box without area. Cancelled.
/// Source:  Berman & Diggle 1989 (J. R. Stat. Soc. B 51, 81-92).
Result<double> bermanDiggleBandwidth(std::span<const Point> points, const Bbox& box, std::uint64_t seed, Progress& progress);

}  // namespace leeward::analysis
