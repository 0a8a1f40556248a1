#pragma once
/// Expected dogs not yet met, per block, with what their number may be.
///
/// Unmet: an animal kept outdoors at some time of the year that no crew has met with permission; seen but never met
/// counts as unmet. The first model, all of whose parts can be replaced singly:
///  0. what figures, the blocks around and the town lead to expect of a block before its own record (block_rates.h);
///  1. doors with dogs found per effective planned door, gamma-Poisson: a block's rate has a gamma prior around
///     that whose shape is fitted by marginal likelihood (negative binomial), so it leans on its own record as
///     far as that record carries (Robbins 1956; Clayton & Kaldor 1987, Biometrics 43:671);
///  2. dogs per door with dogs, town-wide, from the finding looks;
///  3. unseen = rate x sum over doors of `unexamined` x (1 - share known in other ways) x dogs per door. That share keeps
///     dogs which callers told of from being counted twice: once as leads, once in the doors' expectation. It is the block's
///     own, K / (K + U): K the doors told of since the planned looks (Effort::known_otherwise), U those that planned
///     looks lead to expect unseen. Where nobody told of any dog, all of U is expected: callers and crews' passing eyes
///     don't reach every block, so no share of the whole town may be laid on blocks where nobody goes;
///  4. leads = every animal seen, never met and not gone, by the chance that it is still there (half-life since it was
///     last seen). A door with known dogs expects others only as far as the known ones may have left;
///  5. unmet = unseen + leads. Doors asked not to return hold unmet dogs like others (they are out of reach, not gone);
///     vacant doors expect none.
/// Number: compound negative binomial (Panjer 1981, ASTIN Bulletin 12:22) convolved with the leads' Bernoullis.
/// In need, for animals never met: the block's share of first checks as found with a critical item unmet, shrunk to the
/// town's (beta-binomial). Animals that were met are not unmet, whatever they lack: those with a critical item unmet at
/// their latest check as left are counted apart (met_in_need) and are the due list's business.
/// Few data: the town's mean and the spread between blocks start from stated assumptions that weigh as much as
/// `assumed_doors` effective doors; with no planned look at all the assumptions, doors and need are all there is. Either
/// is said in `remarks`.
#include <span>
#include <string>
#include <vector>

#include "analysis/coverage/effort.h"
#include "analysis/need/block_rates.h"
#include "analysis/need/count_distribution.h"
#include "shared/base/progress.h"

namespace leeward::analysis {

struct UnmetOptions {
  double level = 0.90;  ///< of all intervals, in (0, 1)
  // Assumptions where there is no record yet; parameters, not estimates (common practice, no published source).
  double assumed_doors_with_dogs = 0.05;  ///< per door
  double assumed_doors = 20;              ///< effective planned doors that the assumption weighs
  /// Need index per block, 0..1, nan = unknown; may be empty. Read only while there is no planned look: rates are then
  /// tilted by (0.5 + need), unknown as 0.5, and brought back to the assumed mean over all doors.
  std::span<const double> need;
  /// Figures of census and heat, read from the first planned look on (block_rates.h); may be empty.
  std::span<const RateFigure> figures;
};

/// The fit for the whole town.
struct TownFit {
  double mean_rate = 0;               ///< doors with dogs per effective planned door
  double shape = 1;                   ///< of the gamma between blocks; large = blocks alike
  std::vector<double> dogs_per_door;  ///< chance of 1, 2, ... dogs at a door with dogs; sums to 1
  double mean_dogs = 1;
  double share_in_need = 0.5, share_weight = 8;  ///< beta prior: mean, and the checks that it weighs
  double mean_shape = 1;                         ///< what is known of mean_rate, as the shape of a gamma around it
  double effective_doors = 0;
  int found_doors = 0, first_checks = 0;
  std::vector<RateTerm> terms;        ///< what figures explain of the logarithm of rates
  double reach_m = 0;                 ///< how far blocks tell of each other; 0: they don't
};

struct UnmetEstimate {
  TownFit town;
  // One entry a block.
  std::vector<double> rate, rate_low, rate_high;  ///< dogs per planned door, shrunk; interval of the rate at the level
  std::vector<double> unseen, leads, unmet;       ///< unmet = unseen + leads
  std::vector<int> lead_count;
  std::vector<int> low, high;         ///< bounds of the number unmet, equal-tailed
  std::vector<double> mass;           ///< chance the model gives to low..high: at least the level
  std::vector<double> chance_any;     ///< chance that at least one is unmet
  std::vector<double> share_in_need;  ///< 0..1, of animals never met
  std::vector<double> unmet_in_need;
  std::vector<int> met_in_need;
  std::vector<int> first_checks, first_checks_critical;
  // For draws. Doors with dogs per door ~ Gamma(rate_shape, rate_scale) given the town's mean, of which prior_share hangs
  // on that mean; doors_open: sum of unexamined x (1 - known_otherwise_share of the block).
  std::vector<double> rate_shape, rate_scale, prior_share, doors_open, known_otherwise_share;
  std::vector<double> need_a, need_b;  ///< beta posterior of the share in need
  // One entry a door: expected dogs unmet there (own share of unseen, and leads), and the chance of at least one.
  std::vector<double> door_unmet, door_chance;
  std::vector<double> door_meeting;  ///< chance that a knock leads to the dogs there, were there any (meeting.h); for the choice of doors
  // One entry an animal: chance that it is unmet and still there; 0 for those met or gone.
  std::vector<double> animal_unmet;
  bool day_one = false;              ///< no planned look counts yet
  bool leans_on_need = false;        ///< other weights of need would give other rates
  std::vector<std::string> remarks;  ///< sentences for the reader
};

/// How many are unmet in a block: the distribution behind low, high and mass. leads: animal_unmet of the block's animals where above 0.
CountChances predictive(const UnmetEstimate& estimate, std::size_t block, std::span<const double> leads);

/// One entry a block, a door, an animal, as the record has them. A block without doors has rate, but expects only its
/// leads. InvalidArgument for a bad record, option, or an effort or need of another size. Threads never change a result.
Result<UnmetEstimate> expectedUnmet(const Record& record, const Effort& effort, const UnmetOptions& options, Progress& progress);

}  // namespace leeward::analysis
