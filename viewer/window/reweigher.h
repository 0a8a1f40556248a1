#pragma once
/// Other hours and weights, and the list that follows them: means at once, certainty behind. The study itself stays as it is.
#include <QObject>
#include <filesystem>
#include <memory>

#include "viewer/study/reweigh.h"
#include "viewer/window/jobs.h"

namespace leeward::window {

class Reweigher : public QObject {
  Q_OBJECT

 public:
  explicit Reweigher(Jobs& jobs) : jobs_(jobs) {}

  /// Another study, or its findings anew: back to its own settings.
  void begin(const std::filesystem::path& folder, study::Snapshot as_run, const study::StudyFile& study);
  const study::WhatIf& whatIf() const { return what_if_; }
  const study::WhatIf& own() const { return own_; }
  bool isOwn() const { return what_if_ == own_; }
  /// Ends with followed(), twice.
  void set(study::WhatIf what_if);
  /// As the study was run, or as it would be; certain() once chances are of it too.
  const study::Snapshot& findings() const { return shown_; }
  bool isCertain() const { return is_certain_; }

 signals:
  void moved();                     ///< whatIf() is another one
  void followed();                  ///< findings() is new
  void failed(const QString& words);

 private:
  void follow(bool certainty);

  Jobs& jobs_;
  std::filesystem::path folder_;
  study::Snapshot as_run_, shown_;
  std::shared_ptr<const study::Reweighing> kept_;  ///< read when something is moved for the first time
  study::WhatIf own_, what_if_;
  bool is_certain_ = true;
};

}  // namespace leeward::window
