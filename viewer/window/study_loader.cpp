#include "viewer/window/study_loader.h"

#include <QCoreApplication>
#include <QPointer>

namespace leeward::window {
namespace {

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

StudyLoader::~StudyLoader() { stop(); }

void StudyLoader::stop() {
  worker_.request_stop();
  if (worker_.joinable()) worker_.join();
}

void StudyLoader::start(const std::filesystem::path& folder) {
  stop();
  running_ = true;
  worker_ = std::jthread([loader = QPointer<StudyLoader>(this), folder](const std::stop_token& token) {
    Progress progress(
        [loader](double fraction, std::string_view message) {
          inWindow(loader, [fraction, text = QString::fromUtf8(message.data(), static_cast<qsizetype>(message.size()))](StudyLoader& self) { emit self.progressed(fraction, text); });
        },
        token, std::max(1U, std::thread::hardware_concurrency()));
    auto outcome = study::runStudy({.folder = folder}, progress);
    if (outcome) {
      inWindow(loader, [findings = outcome->findings](StudyLoader& self) {
        self.running_ = false;
        emit self.done(findings);
      });
      return;
    }
    const bool stopped = outcome.problem().code == ProblemCode::Cancelled;
    inWindow(loader, [text = QString::fromStdString(outcome.problem().text()), stopped](StudyLoader& self) {
      self.running_ = false;
      emit self.failed(text, stopped);
    });
  });
}

}  // namespace leeward::window
