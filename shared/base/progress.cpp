#include "shared/base/progress.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <exception>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

namespace leeward {

struct Progress::Shared {
  Sink sink;
  std::stop_token stop;
  unsigned threads = 1;
  std::mutex mutex;
  std::string message;
  std::chrono::steady_clock::time_point last{};
};

Progress::Progress() : Progress(Sink{}, std::stop_token{}, 1) {}

Progress::Progress(Sink sink, std::stop_token stop, unsigned threads) : shared_(std::make_shared<Shared>()) {
  shared_->sink = std::move(sink);
  shared_->stop = std::move(stop);
  shared_->threads = std::max(1U, threads);
}

Progress::Progress(std::shared_ptr<Shared> shared, double from, double to)
    : shared_(std::move(shared)), from_(from), to_(to) {}

void Progress::report(double fraction, std::string_view message) {
  if (!shared_->sink) return;
  using namespace std::chrono_literals;
  const std::scoped_lock lock(shared_->mutex);
  const bool new_message = !message.empty() && message != shared_->message;
  if (new_message) shared_->message = message;
  const auto now = std::chrono::steady_clock::now();
  if (!new_message && fraction < 1.0 && now - shared_->last < 50ms) return;
  shared_->last = now;
  shared_->sink(from_ + (to_ - from_) * std::clamp(fraction, 0.0, 1.0), shared_->message);
}

bool Progress::stopRequested() const { return shared_->stop.stop_requested(); }

Problem Progress::stopped() { return {ProblemCode::Cancelled, "stopped as asked; nothing was changed", "", ""}; }

Result<void> Progress::checkStop() const {
  if (stopRequested()) return stopped();
  return {};
}

Progress Progress::part(double from, double to) const {
  return {shared_, from_ + (to_ - from_) * from, from_ + (to_ - from_) * to};
}

unsigned Progress::threads() const { return shared_->threads; }

Progress Progress::quiet() const { return {Sink{}, shared_->stop, shared_->threads}; }

Result<void> Progress::parallelFor(std::size_t count, std::size_t batch,
                                   const std::function<void(std::size_t, std::size_t)>& work) {
  if (batch == 0) batch = 1;
  const std::size_t batches = (count + batch - 1) / batch;
  std::atomic<std::size_t> next{0};
  std::atomic<std::size_t> done{0};
  std::atomic<bool> failed{false};
  std::exception_ptr failure;
  std::mutex failure_mutex;
  const auto worker = [&] {
    for (std::size_t i = next++; i < batches && !failed && !stopRequested(); i = next++) {
      try {
        work(i * batch, std::min(count, (i + 1) * batch));
      } catch (...) {
        const std::scoped_lock lock(failure_mutex);
        if (!failure) failure = std::current_exception();
        failed = true;
      }
      report(static_cast<double>(++done) / static_cast<double>(batches));
    }
  };
  {
    std::vector<std::jthread> helpers;
    const std::size_t extra = std::min<std::size_t>(shared_->threads, std::max<std::size_t>(batches, 1)) - 1;
    helpers.reserve(extra);
    for (std::size_t i = 0; i < extra; ++i) helpers.emplace_back(worker);
    worker();
  }
  if (failure) std::rethrow_exception(failure);
  return checkStop();
}

}  // namespace leeward
