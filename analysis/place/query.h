#pragma once
/// A typed line taken apart for placing: number, ways to read its street, town, postcode, unit.
#include <optional>
#include <string>
#include <vector>

#include "analysis/place/index_data.h"
#include "analysis/place/parse.h"
#include "analysis/place/place.h"

namespace leeward::analysis {

/// One way to read a street name out of the line.
struct StreetReading {
  StreetParts parts;
  int left_over = 0;        ///< words behind it that this reading does not explain
  std::string place;        ///< town that the words behind it name, comparable form; "" none
  bool operator==(const StreetReading&) const = default;
};

struct QueryPieces {
  AddressKind kind = AddressKind::Other;
  std::optional<HouseNumber> number;
  std::vector<StreetReading> plain;    ///< as the parser cut the line
  std::vector<StreetReading> further;  ///< cut elsewhere: towns without a comma, types that are slips, names that are types
  std::vector<StreetReading> second;   ///< of a crossing
  std::string place;                   ///< comparable form
  std::string postcode;                ///< first five
  std::string unit;                    ///< identifier only, upper case
  bool operator==(const QueryPieces&) const = default;
};

enum class CutBy : std::uint8_t {
  Parser,  ///< rules and learned weights
  Rules,   ///< the parser's rules alone: cheap, and right for most lines
};

/// Takes a line apart. `index` and `query` must outlive it.
class LineCut {
 public:
  LineCut(const IndexData& index, const PlaceQuery& query, CutBy cut_by);
  const QueryPieces& pieces() const { return out_; }
  /// Adds every other way to end the street at some word behind the number, the rest being a town, a note, or a type with a slip.
  void addFurther();
  QueryPieces take() { return std::move(out_); }

 private:
  struct Piece {
    AddressLabel label;
    std::string text;
    std::string upper;
    bool comma_after = false;
  };
  static std::vector<Piece> piecesOf(const ParsedAddress& parsed);
  static std::string joinedText(const std::vector<Piece>& pieces, std::size_t from, std::size_t to);
  std::string plainUnit() const;
  void takeNumber();
  void takeTown();
  void windows(std::size_t from, std::vector<StreetReading>& out);
  int leftOver(std::size_t from, std::size_t to, std::string& place) const;

  const IndexData* index_;
  const PlaceQuery* query_;
  ParsedAddress parsed_;
  std::vector<Piece> pieces_;
  std::size_t number_at_ = 0;
  std::size_t number_end_ = 0;
  QueryPieces out_;
};

/// "Apt 4-B" -> "4B": the identifier alone, comparable.
std::string comparableUnit(std::string_view unit);

}  // namespace leeward::analysis
