#pragma once
/// Where next under other hours and weights, at once: everything that doesn't hang on them is read and kept.
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "viewer/study/findings.h"
#include "viewer/study/study_file.h"

namespace leeward {
class Progress;
}

namespace leeward::study {

/// What a person may move by hand. Nothing of it is written into the study.
struct WhatIf {
  double hours = 4;              ///< of one outing, start to start
  double minutes_per_door = 4;
  double minutes_per_visit = 25;
  std::vector<double> weights;   ///< one an indicator of the study, >= 0
  friend bool operator==(const WhatIf&, const WhatIf&) = default;
};

/// The study's own settings as a start.
WhatIf asInStudy(const StudyFile& study);

class Reweighing {
 public:
  /// Opens the study as runStudy does and keeps record, facts and effort; the ledger is closed again.
  static Result<std::shared_ptr<const Reweighing>> open(const std::filesystem::path& folder, Progress& progress);
  ~Reweighing();
  Reweighing(const Reweighing&) = delete;
  Reweighing& operator=(const Reweighing&) = delete;

  /// The findings with blocks, ranking, reasons and totals as they would be; premises, sightings and heat are left out. Without `certainty` ranks,
  /// worths and expectations alone are of this what-if, and chances and rank intervals are missing. With the study's own settings
  /// and certainty: the figures of runStudy(). Any thread may call it. InvalidArgument for hours below 0, a door that takes no time, weights that
  /// are below 0, all 0, or not one an indicator.
  Result<Snapshot> findings(const WhatIf& what_if, bool certainty, const Findings& as_run, Progress& progress) const;

 private:
  struct Parts;
  explicit Reweighing(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

}  // namespace leeward::study
