#pragma once
/// Errors as values.
///
/// A function that can fail for a reason that a person can mend returns Result<T>. The Problem in it says
/// what happened in the user's words, where (file, row, column) and what to do next. Exceptions stay inside
/// the .cpp files that call a throwing library; assertions are for our own bugs, never for user data.
/// A bad *row* is no Problem: it goes into a RowReport (shared/table/row_report.h) and the rest goes on.
#include <optional>
#include <string>
#include <utility>
#include <variant>

namespace leeward {

enum class ProblemCode {
  InvalidArgument,    ///< the call is wrong (a bad option or combination); nothing was read. Exit 2
  NotFound,           ///< a file, layer, column or id that was named does not exist. Exit 3
  AlreadyExists,      ///< writing would replace something that is not ours to replace. Exit 3
  Unsupported,        ///< readable, but of a kind that we don't take; prefer BadData if the content is broken. Exit 3
  BadData,            ///< an input's content can't be used. Exit 3
  CrsMismatch,        ///< coordinates can't be brought into one frame. Exit 3
  Io,                 ///< the system refused a read or write (permission, disk full). Exit 4
  ResourceExhausted,  ///< a limit on memory, size or time was reached; prefer Io for a full disk. Exit 4
  Cancelled,          ///< the person stopped it; never shown as a failure. Exit 130
  Internal,           ///< a bug of ours. Exit 4
};

/// The process exit status that belongs to a code (table in viewer/GUIDE.md).
int exitStatus(ProblemCode code);

struct Problem {
  ProblemCode code = ProblemCode::Internal;
  std::string what;   ///< what happened, one sentence without a closing stop
  std::string where;  ///< file, layer, row, column; "" if it has no place
  std::string mend;   ///< what to do next; "" if nothing can be done

  /// Adds an outer place in front of `where`: "visits.csv" + "row 7" -> "visits.csv, row 7".
  Problem at(const std::string& outer) &&;
  /// "what (where). mend." as shown to a person.
  std::string text() const;
};

/// A value or a Problem. Check before use: value() on a failed result ends the program (a bug of ours).
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : held_(std::in_place_index<0>, std::move(value)) {}  // NOLINT: implicit by design
  Result(Problem problem) : held_(std::in_place_index<1>, std::move(problem)) {}

  bool ok() const { return held_.index() == 0; }
  explicit operator bool() const { return ok(); }
  T& value() & { return std::get<0>(held_); }
  const T& value() const& { return std::get<0>(held_); }
  T&& value() && { return std::get<0>(std::move(held_)); }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }
  const Problem& problem() const& { return std::get<1>(held_); }
  Problem problem() && { return std::get<1>(std::move(held_)); }

 private:
  std::variant<T, Problem> held_;
};

/// Success without a value, or a Problem.
template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Problem problem) : problem_(std::move(problem)) {}  // NOLINT: implicit by design
  bool ok() const { return !problem_; }
  explicit operator bool() const { return ok(); }
  const Problem& problem() const& { return *problem_; }
  Problem problem() && { return *std::move(problem_); }

 private:
  std::optional<Problem> problem_;
};

}  // namespace leeward

/// Returns the problem of `expression` (a Result<void>, or any Result whose value isn't needed) if it failed.
#define LEEWARD_TRY(expression)                                                                  \
  do {                                                                                           \
    if (auto leeward_tried = (expression); !leeward_tried) return std::move(leeward_tried).problem(); \
  } while (false)

#define LEEWARD_JOIN_(a, b) a##b
#define LEEWARD_JOIN(a, b) LEEWARD_JOIN_(a, b)
/// Declares `name` from the value of `expression` (a Result<T>), or returns its problem.
#define LEEWARD_ASSIGN(name, expression) LEEWARD_ASSIGN_(LEEWARD_JOIN(leeward_result_, __LINE__), name, expression)
#define LEEWARD_ASSIGN_(temporary, name, expression)              \
  auto temporary = (expression);                                  \
  if (!temporary) return std::move(temporary).problem();          \
  auto name = std::move(temporary).value()
