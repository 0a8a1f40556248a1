#pragma once
/// Progress, stopping and the only threading that computations have.
///
/// Whatever can run for over a tenth of a second takes a Progress& last. It reports a fraction and what is
/// being done, asks whether the person wants it stopped, and runs disjoint batches on the given threads.
/// A result never depends on the number of threads: batches are fixed by the size of the work alone, and
/// each batch writes only to its own place.
#include <cstddef>
#include <functional>
#include <memory>
#include <stop_token>
#include <string>
#include <string_view>

#include "shared/base/result.h"

namespace leeward {

class Progress {
 public:
  /// Where reports go: a terminal bar, a window, or nothing. Called from the working thread, at most
  /// some 20 times a second, and at 1.0.
  using Sink = std::function<void(double fraction, std::string_view message)>;

  /// Silent, never stopped, one thread: for tests and small work.
  Progress();
  /// threads: how many parallelFor may use, >= 1.
  Progress(Sink sink, std::stop_token stop, unsigned threads);

  /// fraction in 0..1 of this (sub-)progress; message "" keeps the last one.
  void report(double fraction, std::string_view message = {});
  bool stopRequested() const;
  /// The problem to return when stopRequested(): code Cancelled.
  static Problem stopped();
  /// Success, or the Cancelled problem if a stop was asked for: LEEWARD_TRY(progress.checkStop()).
  Result<void> checkStop() const;

  /// A progress for a step that covers from..to of this one; shares sink, stop and threads.
  Progress part(double from, double to) const;

  /// The same stop and threads, without reports: for what runs beside work that reports.
  Progress quiet() const;

  /// Calls work(begin, end) for disjoint ranges that cover [0, count), each of at most `batch` items.
  /// Batches start at multiples of `batch` whatever the thread count. Returns Cancelled if stopped in
  /// between (what was written by then must be thrown away). An exception in work is rethrown here.
  Result<void> parallelFor(std::size_t count, std::size_t batch,
                           const std::function<void(std::size_t begin, std::size_t end)>& work);

  unsigned threads() const;

 private:
  struct Shared;
  Progress(std::shared_ptr<Shared> shared, double from, double to);
  std::shared_ptr<Shared> shared_;
  double from_ = 0.0;
  double to_ = 1.0;
};

}  // namespace leeward
