#pragma once
/// Who is next to whom, as a verb's --neighbours says it.
#include <string>
#include <vector>

#include "analysis/rates/neighbours.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

/// queen, rook, nearest:K, within:M or edges:FILE.
struct NeighbourKind {
  enum class By { Queen, Rook, Nearest, Within, Edges };
  By by = By::Queen;
  std::size_t count = 0;  ///< nearest: 1 or more
  double distance_m = 0;  ///< within: above 0
  std::string file;       ///< edges
};
/// InvalidArgument names what can be said.
Result<NeighbourKind> neighbourKind(const std::string& text);

struct NeighboursRequest {
  std::string kind = "queen";
  std::string id;      ///< column that edges name; "" = row numbers from 1
  double gap_m = 0.2;  ///< borders so close count as touching
};

struct NeighbourLists {
  analysis::Neighbours neighbours;
  std::string in_words;              ///< "areas that touch, at a corner too"
  std::size_t islands = 0;           ///< rows without a neighbour
  std::vector<std::string> remarks;  ///< islands by name or row; pairs that only the gap closed; links one way only
};

/// Touching areas are compared in the coordinates of the file (analysis/patterns/contiguity.h), around the earth's seam too; distances are
/// metres between centroids in a plane true to scale. `layer` itself is not changed.
/// Edges: a CSV with columns from, to and perhaps weight (above 0); a pair counts one way, as it stands.
/// Errors:  InvalidArgument for a wrong kind; BadData where a table has no areas or points to compare, for ids that stand twice or that no row
///          has, for weights that are no weights (with the line); CrsMismatch for distances without coordinates that are known.
Result<NeighbourLists> neighbourLists(const Layer& layer, const std::string& source, const NeighboursRequest& request, Progress& progress);

}  // namespace leeward::study
