#pragma once
/// Work away from the window's thread, and the only place where the two meet.
///
/// A job has a name that a person reads, says how far it is, can be stopped, and is one at a time: a second one waits. What is only looked
/// up (a map, a list) runs in a lane: silently, and a later one takes the place of an earlier one of the same lane.
#include <QMap>
#include <QObject>
#include <QPointer>
#include <QString>
#include <QThreadPool>
#include <functional>
#include <memory>
#include <stop_token>

#include "shared/base/progress.h"

namespace leeward::window {

class Jobs : public QObject {
  Q_OBJECT

 public:
  explicit Jobs(QObject* parent = nullptr);
  ~Jobs() override;  ///< asks all to stop and waits

  /// `done` is called in the window's thread with what the work gave, unless `whose` is gone by then; ended() follows. After a problem
  /// or a stop only ended() tells.
  template <class T>
  void start(QObject* whose, const QString& title, std::function<Result<T>(Progress&)> work, std::function<void(T)> done) {
    startAny(title, wrap<T>(whose, std::move(work), std::move(done)));
  }
  /// As start(), in a lane. `failed` may be empty; a place taken by a later one says nothing.
  template <class T>
  void look(QObject* whose, const QString& lane, std::function<Result<T>(Progress&)> work, std::function<void(T)> done, std::function<void(Problem)> failed = {}) {
    lookAny(lane, wrap<T>(whose, std::move(work), std::move(done)), std::move(failed));
  }
  /// Whatever a lane is at is stopped, and says nothing.
  void forget(const QString& lane);
  void stop();  ///< the job under way, and those that wait; ended() tells when it came about
  bool isBusy() const { return waiting_ > 0; }
  bool isLooking() const { return looking_ > 0; }
  const QString& title() const { return title_; }

 signals:
  void began(const QString& title);
  void progressed(double fraction, const QString& message);
  void ended(const QString& problem, bool stopped);  ///< problem: "" if it was done

 private:
  using Deliver = std::function<void()>;
  using Work = std::function<Result<Deliver>(Progress&)>;
  struct Lane {
    std::stop_source stop;
    quint64 latest = 0;
  };

  template <class T>
  static Work wrap(QObject* whose, std::function<Result<T>(Progress&)> work, std::function<void(T)> done) {
    return [work = std::move(work), guard = QPointer<QObject>(whose), done = std::move(done)](Progress& progress) -> Result<Deliver> {
      auto made = work(progress);
      if (!made) return made.problem();
      auto kept = std::make_shared<T>(*std::move(made));
      return Deliver([kept, guard, done] {
        if (guard) done(std::move(*kept));
      });
    };
  }
  void startAny(const QString& title, Work work);
  void lookAny(const QString& lane, Work work, std::function<void(Problem)> failed);

  QThreadPool worker_, lookers_;
  std::stop_source stop_;
  int waiting_ = 0, looking_ = 0;
  QString title_;
  QMap<QString, Lane> lanes_;
};

}  // namespace leeward::window
