#include "viewer/window/jobs.h"

#include <algorithm>
#include <string>
#include <string_view>
#include <thread>
#include <utility>

#include <QCoreApplication>
#include <QPointer>

namespace leeward::window {
namespace {

/// Runs `act` in the window's thread, unless the jobs are gone by then.
template <class Act>
void inWindow(const QPointer<Jobs>& jobs, Act act) {
  QMetaObject::invokeMethod(
      QCoreApplication::instance(), [jobs, act = std::move(act)] { if (jobs) act(*jobs); }, Qt::QueuedConnection);
}

/// What work throws (no memory, a folder that may not be entered) ends the job, not the window.
template <class Work>
auto runSafely(const Work& work, Progress& progress) -> decltype(work(progress)) {
  try {
    return work(progress);
  } catch (const std::exception& error) {
    return Problem{ProblemCode::Internal, std::string("could not finish: ") + error.what(), "", ""};
  }
}

}  // namespace

Jobs::Jobs(QObject* parent) : QObject(parent) {
  worker_.setMaxThreadCount(1);
  lookers_.setMaxThreadCount(2);
}

Jobs::~Jobs() {
  stop_.request_stop();
  for (Lane& lane : lanes_) lane.stop.request_stop();
  worker_.waitForDone();
  lookers_.waitForDone();
}

void Jobs::stop() { stop_.request_stop(); }

void Jobs::forget(const QString& lane) {
  lanes_[lane].stop.request_stop();
  ++lanes_[lane].latest;
}

void Jobs::startAny(const QString& title, Work work) {
  if (waiting_++ == 0 || stop_.stop_requested()) stop_ = std::stop_source();
  worker_.start([jobs = QPointer<Jobs>(this), title, work = std::move(work), token = stop_.get_token()] {
    inWindow(jobs, [title](Jobs& self) {
      self.title_ = title;
      emit self.began(title);
    });
    Progress progress(
        [jobs](double fraction, std::string_view message) {
          inWindow(jobs, [fraction, text = QString::fromUtf8(message.data(), static_cast<qsizetype>(message.size()))](Jobs& self) { emit self.progressed(fraction, text); });
        },
        token, std::max(1U, std::thread::hardware_concurrency()));
    auto made = token.stop_requested() ? Result<Deliver>(Progress::stopped()) : runSafely(work, progress);
    inWindow(jobs, [made = std::move(made)](Jobs& self) {
      --self.waiting_;
      if (made) (*made)();
      const bool stopped = !made && made.problem().code == ProblemCode::Cancelled;
      emit self.ended(made ? QString() : QString::fromStdString(made.problem().text()), stopped);
    });
  });
}

void Jobs::lookAny(const QString& lane, Work work, std::function<void(Problem)> failed) {
  Lane& mine = lanes_[lane];
  mine.stop.request_stop();
  mine.stop = std::stop_source();
  ++looking_;
  lookers_.start([jobs = QPointer<Jobs>(this), lane, number = ++mine.latest, work = std::move(work), failed = std::move(failed), token = mine.stop.get_token()] {
    Progress progress([](double, std::string_view) {}, token, std::max(1U, std::thread::hardware_concurrency()));
    auto made = token.stop_requested() ? Result<Deliver>(Progress::stopped()) : runSafely(work, progress);
    inWindow(jobs, [made = std::move(made), failed, lane, number](Jobs& self) {
      --self.looking_;
      if (self.lanes_[lane].latest != number) return;
      if (made) (*made)();
      else if (failed && made.problem().code != ProblemCode::Cancelled) failed(made.problem());
    });
  });
}

}  // namespace leeward::window
