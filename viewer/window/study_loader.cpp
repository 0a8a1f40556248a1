#include "viewer/window/study_loader.h"

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>

#include <QCoreApplication>
#include <QPointer>

namespace leeward::window {
namespace {

/// What a run throws (no memory, a folder that may not be entered) ends the run, not the window.
Result<study::RunOutcome> runSafely(const std::filesystem::path& folder, Progress& progress) {
  try {
    return study::runStudy({.folder = folder}, progress);
  } catch (const std::exception& error) {
    return Problem{ProblemCode::Internal, std::string("could not finish: ") + error.what(), folder.string(), ""};
  }
}

/// Runs `act` in the window's thread, unless the loader is gone by then.
template <class Act>
void inWindow(const QPointer<StudyLoader>& loader, Act act) {
  QMetaObject::invokeMethod(
      QCoreApplication::instance(),
      [loader, act = std::move(act)] {
        if (loader) act(*loader);
      },
      Qt::QueuedConnection);
}

}  // namespace

void StudyLoader::start(const std::filesystem::path& folder) {
  stop();
  if (worker_.joinable()) worker_.join();  // two runs must not write to one ledger
  running_ = true;
  worker_ = std::jthread([loader = QPointer<StudyLoader>(this), run = ++run_, folder](const std::stop_token& token) {
    Progress progress(
        [loader, run](double fraction, std::string_view message) {
          inWindow(loader, [run, fraction, text = QString::fromUtf8(message.data(), static_cast<qsizetype>(message.size()))](StudyLoader& self) {
            if (self.run_ == run) emit self.progressed(fraction, text);
          });
        },
        token, std::max(1U, std::thread::hardware_concurrency()));
    auto outcome = runSafely(folder, progress);
    if (outcome) {
      inWindow(loader, [run, findings = outcome->findings](StudyLoader& self) {
        if (self.run_ != run) return;
        self.running_ = false;
        emit self.done(findings);
      });
      return;
    }
    const bool stopped = outcome.problem().code == ProblemCode::Cancelled;
    inWindow(loader, [run, text = QString::fromStdString(outcome.problem().text()), stopped](StudyLoader& self) {
      if (self.run_ != run) return;
      self.running_ = false;
      emit self.failed(text, stopped);
    });
  });
}

}  // namespace leeward::window
