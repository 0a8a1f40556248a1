#include "shared/base/result.h"

namespace leeward {

int exitStatus(ProblemCode code) {
  switch (code) {
    case ProblemCode::InvalidArgument:
      return 2;
    case ProblemCode::NotFound:
    case ProblemCode::AlreadyExists:
    case ProblemCode::Unsupported:
    case ProblemCode::BadData:
    case ProblemCode::CrsMismatch:
      return 3;
    case ProblemCode::Io:
    case ProblemCode::ResourceExhausted:
    case ProblemCode::Internal:
      return 4;
    case ProblemCode::Cancelled:
      return 130;
  }
  return 4;
}

Problem Problem::at(const std::string& outer) && {
  where = where.empty() ? outer : outer + ", " + where;
  return std::move(*this);
}

std::string Problem::text() const {
  std::string line = what;
  if (!where.empty()) line += " (" + where + ")";
  line += ".";
  if (!mend.empty()) line += " " + mend + (mend.ends_with('.') || mend.ends_with('?') ? "" : ".");
  return line;
}

}  // namespace leeward
