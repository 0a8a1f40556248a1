#pragma once
/// Points moved so that no home can be told from them.
///
/// Method:  donut masking (Hampton et al. 2010, Am J Epidemiol 172:1062): a point is moved by a distance between an inner and an outer radius,
///          evenly over the area of the ring. The radii follow the density of premises: the ring about a home begins at its k-th neighbour and ends
///          at its 4k-th. That alone promises no k, so k is counted (Allshouse et al. 2010, Geospat Health 4:141): at least k premises must lie
///          nearer to the moved point than the true one.
///          A reader who knows all premises and this method can leave out premises whose ring doesn't hold the point and those among its k
///          nearest, and weigh the others by 1 / area of their ring. A point counts as masked only if no premises is left with a share over 1/k.
///          Counted are only premises of the same published area, since tables by area may tell in which it lies.
/// Drawing: the draw of a premises is a keyed function of it and of a counter alone; the first that meets all rules is taken. Without the key
///          neither this code nor any seed gives it back. Who hands points over keeps what was drawn and uses it again.
#include <array>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/base/result.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct PremisesField {
  std::vector<Point> position;     ///< metres, true to scale on the spot
  std::vector<std::int32_t> area;  ///< published area of each; empty = one
  std::vector<Point> others = {};  ///< further places to keep clear of: where the crew stood, what was reported without an address
};

struct MaskingRule {
  std::uint32_t k = 20;
  double clear_m = 12;      ///< so far from every premises, so that no bystander's home is shown
  double largest_m = 2000;  ///< an outer radius beyond this: the home stands too much alone, and its point is withheld
};

struct MaskedPoint {
  std::uint32_t premises = 0;
  bool masked = false;
  Point position;               ///< where masked
  double inner_m = 0, outer_m = 0;
  std::uint32_t nearer = 0;     ///< premises of the area nearer to the masked point than the true one: the k that was met
  std::uint32_t candidates = 0; ///< premises that the method leaves possible
  double largest_share = 1;     ///< of any of them
  std::string why_not;          ///< where not masked
};

/// 32 bytes for a premises and the number of the try: HMAC-SHA-256 of secret, premises, audience, number.
using MaskingKey = std::function<std::array<unsigned char, 32>(std::uint32_t premises, std::uint32_t attempt)>;

/// One answer for each of `which`, in their order. Errors: InvalidArgument (an index, k of 0), Cancelled.
Result<std::vector<MaskedPoint>> maskPoints(const PremisesField& field, const std::vector<std::uint32_t>& which, const MaskingRule& rule, const MaskingKey& key, Progress& progress);

/// Displacement of a draw u in [0, 1): evenly over the ring's area.
double ringDistance(double u, double inner_m, double outer_m);
/// How many of these points lie strictly nearer to `masked` than `truth` does.
std::uint32_t countNearer(const std::vector<Point>& premises, Point truth, Point masked);

}  // namespace leeward::analysis
