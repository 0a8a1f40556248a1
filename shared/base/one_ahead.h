#pragma once
/// Makes the next of a row of things on another thread while the last one is used.
#include <functional>
#include <future>
#include <optional>
#include <utility>

#include "shared/base/result.h"

namespace leeward {

/// The order is that of making; only the waiting gets less. `make` is never called twice at a time, and not again after it gave nothing or a
/// Problem. It must stop soon after a stop is asked for (Progress::checkStop): the destructor waits for a making that has begun.
template <class T>
class OneAhead {
 public:
  explicit OneAhead(std::function<Result<std::optional<T>>()> make) : make_(std::move(make)) { begin(); }
  ~OneAhead() {
    if (next_.valid()) next_.wait();
  }
  OneAhead(const OneAhead&) = delete;
  OneAhead& operator=(const OneAhead&) = delete;

  /// Waits for the next one and begins the one after it.
  Result<std::optional<T>> next() {
    auto made = next_.get();
    if (made && *made) begin();
    return made;
  }

 private:
  void begin() { next_ = std::async(std::launch::async, make_); }

  std::function<Result<std::optional<T>>()> make_;
  std::future<Result<std::optional<T>>> next_;
};

}  // namespace leeward
