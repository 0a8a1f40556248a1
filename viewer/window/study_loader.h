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
  ~StudyLoader() override = default;  ///< stops what is running and waits for it

  /// Starts; a run that is under way is stopped first and says nothing more. Ends with done() or failed().
  void start(const std::filesystem::path& folder);
  /// Asks for a stop; failed() tells when it came about. The window never waits for it.
  void stop() { worker_.request_stop(); }
  bool isRunning() const { return running_; }

 signals:
  void progressed(double fraction, const QString& message);
  void done(leeward::study::Snapshot findings);
  void failed(const QString& problem, bool stopped);

 private:
  bool running_ = false;
  quint64 run_ = 0;  ///< what an earlier run still has to say is passed over
  std::jthread worker_;
};

}  // namespace leeward::window
