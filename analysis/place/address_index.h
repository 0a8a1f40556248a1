#pragma once
/// The reference that addresses are placed on: address points and street lines with number ranges, together.
///
/// All positions are in one plane frame in metres that is true to scale. Columns of one struct have the same
/// length; an optional column may be left empty as a whole.
#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/base/result.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct AddressPoints {
  std::vector<std::string> id;
  std::vector<std::string> number;    ///< as written: "14", "11-A", "123 1/2"
  std::vector<std::string> street;    ///< the whole name as written, with type and directions: "N 4th St"
  std::vector<std::string> unit;      ///< optional column
  std::vector<std::string> place;     ///< optional column
  std::vector<std::string> postcode;  ///< optional column
  std::vector<Point> position;        ///< a row with nan is left out

  std::size_t size() const { return id.size(); }
};

/// TIGER/Line style: ranges run from the line's first vertex to its last, left and right of that direction. from may
/// be larger than to; "" and "0" mean no range on that side; letters around the digits are kept apart.
struct StreetRanges {
  std::vector<std::string> id;
  std::vector<std::string> name;  ///< the whole name as written
  std::vector<std::string> l_from, l_to, r_from, r_to;
  std::vector<std::string> l_place, r_place;        ///< optional columns
  std::vector<std::string> l_postcode, r_postcode;  ///< optional columns
  Geometries lines;                                 ///< one row a range; rows without a line are left out
  std::vector<std::string> from_node, to_node;      ///< optional columns, used where no two ends lie together (within 0.5 m)

  std::size_t size() const { return id.size(); }
};

struct IndexData;  // analysis/place/index_data.h: for the parts of this folder and their tests

class AddressIndex {
 public:
  /// Either part may be empty, not both (BadData). InvalidArgument if column lengths differ. Cancelled.
  /// Positional uncertainty of each grade is measured here too, on the reference itself: points held out and placed
  /// by what remains.
  static Result<AddressIndex> build(AddressPoints points, StreetRanges ranges, Progress& progress);
  AddressIndex(AddressIndex&&) noexcept;
  AddressIndex& operator=(AddressIndex&&) noexcept;
  ~AddressIndex();

  std::size_t streets() const;  ///< distinct names
  const AddressPoints& points() const;
  const StreetRanges& ranges() const;
  const IndexData& data() const { return *data_; }

 private:
  explicit AddressIndex(std::unique_ptr<IndexData> data);
  std::unique_ptr<IndexData> data_;
};

}  // namespace leeward::analysis
