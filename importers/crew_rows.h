#pragma once
/// What visits and sightings have in common: days and positions held against the study, ids, tables for the ledger.
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importers/source.h"
#include "importers/values.h"
#include "importers/crew_pieces.h"
#include "shared/base/hash.h"

namespace leeward::importers {

/// The first thing that is wrong with a row.
struct Fault {
  Rows::Slot slot;
  std::string reason;  ///< "" = nothing
  bool exchanged = false;
};

struct Position {
  std::optional<Point> lon_lat;
  std::string why;
  bool wrong_lon = false;  ///< the fault lies in the lon column (else lat)
  bool exchanged = false;  ///< would be right with lon and lat exchanged
  bool far_off = false;    ///< more than 50 km from the study
};
/// Both blank: nothing. One blank, unreadable, 0/0, more than 50 km off the study's box, or exchanged: the reason.
Position readPosition(std::string_view lon, std::string_view lat, const StudyFrame& frame);

/// "" or why a crew can't have seen anything on that day.
std::string dateFault(Date date, const StudyFrame& frame);

/// Lower case with runs of blanks as one: for comparing addresses.
std::string foldedText(std::string_view text);

/// Appends `text` to a list of different texts joined by "; ".
void addDistinct(std::string& joined, std::string_view text);

/// The words that refused rows, by column: how many rows, and the words that stand there most often. Stretches of a file add up.
class UnknownWords {
 public:
  void add(const RowReport& report);
  std::vector<std::string> remarks() const;

 private:
  struct Words {
    std::size_t rows = 0;
    std::map<std::string, std::pair<std::size_t, std::string>> by_word;  ///< rows and what is nearest
  };
  std::map<std::string, Words> by_column_;
};

/// The positions of a file, and those that would be right with lon and lat exchanged.
struct PositionCounts {
  std::size_t positions = 0, exchanged = 0;
  /// The problem for a file in which every position has lon and lat exchanged; nothing otherwise.
  std::optional<Problem> allExchanged(const ColumnMap& map) const;
};

/// Fills a table cell by cell, row after row; what goes through value cells is also fed to `tee`.
class TableWriter {
 public:
  struct Heading {
    const char* name;
    Column::Kind kind;
  };
  explicit TableWriter(std::initializer_list<Heading> headings);

  TableWriter& id(std::string_view value);  ///< ids and keys: not part of the content
  TableWriter& text(std::string_view value);
  TableWriter& textOrMissing(std::string_view value);  ///< "" is missing
  TableWriter& integer(std::optional<std::int64_t> value);
  TableWriter& real(std::optional<double> value);
  TableWriter& none() { return next().addMissing(), *this; }
  Table take() { return std::move(table_); }
  std::size_t rows() const { return table_.rows(); }
  void expect(double times);  ///< makes room for so many times the rows written so far

  Sha256* tee = nullptr;

 private:
  Column& next();
  Table table_;
  std::size_t at_ = 0;
};

}  // namespace leeward::importers
