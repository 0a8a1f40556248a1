#pragma once
/// Brings a study up to date on a thread of its own; the only place where such work and the window meet.
#include <QObject>
#include <filesystem>
#include <memory>
#include <thread>

#include "viewer/draw/themes.h"
#include "viewer/draw/map_painter.h"
#include "viewer/study/run_study.h"

namespace leeward::window {

class StudyLoader : public QObject {
  Q_OBJECT

 public:
  explicit StudyLoader(QObject* parent = nullptr) : QObject(parent) {}
  ~StudyLoader() override;  ///< stops what is running and waits for it

  /// Starts; a run that is under way is stopped first. Ends with done() or failed().
  void start(const std::filesystem::path& folder);
  void stop();
  bool isRunning() const { return running_; }

 signals:
  void progressed(double fraction, const QString& message);
  void done(leeward::study::Snapshot findings);
  void failed(const QString& problem, bool stopped);

 private:
  std::jthread worker_;
  bool running_ = false;
};

}  // namespace leeward::window
