#include "shared/table/csv.h"

#include <fstream>

#include "shared/base/files.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

class CsvTest : public testing::Test {
 protected:
  Result<CsvRead> read(std::string_view content, std::size_t row_limit = 0) {
    const auto file = folder_.path() / "file.csv";
    std::ofstream(file, std::ios::binary) << content;
    Progress progress;
    return readCsv(file, progress, row_limit);
  }
  CsvRead good(std::string_view content) {
    auto result = read(content);
    EXPECT_TRUE(result.ok()) << (result.ok() ? "" : result.problem().text());
    return result.ok() ? std::move(result).value() : CsvRead{};
  }
  static std::string cell(const CsvRead& read, std::size_t row, std::size_t column) {
    return std::string(read.table.column(column).textAt(row));
  }
  static std::string utf16(std::u16string_view text, bool big) {
    std::string bytes = big ? "\xFE\xFF" : "\xFF\xFE";
    for (const char16_t unit : text) {
      const char low = static_cast<char>(unit & 0xFF);
      const char high = static_cast<char>(unit >> 8);
      bytes += big ? std::string{high, low} : std::string{low, high};
    }
    return bytes;
  }
  TemporaryFolder folder_;
};

TEST_F(CsvTest, ReadsHeadingsRowsAndLines) {
  const auto read = good("id,name\n1,Rex\n2,Bo\n");
  EXPECT_EQ(read.table.names(), (std::vector<std::string>{"id", "name"}));
  ASSERT_EQ(read.table.rows(), 2U);
  EXPECT_EQ(cell(read, 1, 1), "Bo");
  EXPECT_EQ(read.table.lines, (std::vector<std::uint64_t>{2, 3}));
}

TEST_F(CsvTest, LastRowNeedsNoLineEnd) {
  EXPECT_EQ(cell(good("a,b\n1,2"), 0, 1), "2");
  EXPECT_TRUE(good("a,b\n1,").table.column(1).isMissing(0));
}

TEST_F(CsvTest, QuotedFieldsHoldSeparatorsQuotesAndLineEnds) {
  const auto read = good("a,b\r\n\"x, \"\"y\"\"\",\"two\r\nlines\"\r\n\"\",z\r\n");
  ASSERT_EQ(read.table.rows(), 2U);
  EXPECT_EQ(cell(read, 0, 0), "x, \"y\"");
  EXPECT_EQ(cell(read, 0, 1), "two\r\nlines");
  EXPECT_TRUE(read.table.column(0).isMissing(1));
  EXPECT_EQ(read.table.lines, (std::vector<std::uint64_t>{2, 4}));
}

TEST_F(CsvTest, LineEndsMayBeLfCrlfOrCr) {
  for (const char* content : {"a,b\n1,2\n3,4\n", "a,b\r\n1,2\r\n3,4\r\n", "a,b\r1,2\r3,4\r"}) {
    const auto read = good(content);
    ASSERT_EQ(read.table.rows(), 2U);
    EXPECT_EQ(cell(read, 1, 0), "3");
    EXPECT_EQ(read.table.lines, (std::vector<std::uint64_t>{2, 3}));
  }
}

TEST_F(CsvTest, BlankLinesAreNoRowsButCount) {
  const auto read = good("\n\na,b\n\n1,2\n\r\n3,4\n\n");
  ASSERT_EQ(read.table.rows(), 2U);
  EXPECT_EQ(read.table.lines, (std::vector<std::uint64_t>{5, 7}));
}

TEST_F(CsvTest, FindsTheSeparator) {
  EXPECT_EQ(good("a;b;c\n1,5;2;3\n").separator, ';');
  EXPECT_EQ(good("a\tb\n1\t2\n").separator, '\t');
  EXPECT_EQ(good("a|b\n1|2\n").separator, '|');
  EXPECT_EQ(good("\"a;b;c;d\",e\n1,2\n").separator, ',');
  const auto told = good("sep=;\na,x;b\n1;2\n");
  EXPECT_EQ(told.table.names(), (std::vector<std::string>{"a,x", "b"}));
  EXPECT_EQ(told.table.lines, (std::vector<std::uint64_t>{3}));
}

TEST_F(CsvTest, ReadsByteOrderMarksAndUtf16) {
  EXPECT_EQ(good("\xEF\xBB\xBFname\nX\n").table.names().front(), "name");
  for (const bool big : {false, true}) {
    const auto read = good(utf16(u"name,n\nJos\u00E9,\U0001F415\n", big));
    EXPECT_EQ(cell(read, 0, 0), "Jos\xC3\xA9");
    EXPECT_EQ(cell(read, 0, 1), "\xF0\x9F\x90\x95");
    EXPECT_FALSE(read.was_windows_1252);
  }
}

TEST_F(CsvTest, BytesThatAreNotUtf8AreReadAsWindows1252AndSaidSo) {
  const auto read = good("name\nJos\xE9 \x96 caf\xE9\n");
  EXPECT_TRUE(read.was_windows_1252);
  EXPECT_EQ(cell(read, 0, 0), "Jos\xC3\xA9 \xE2\x80\x93 caf\xC3\xA9");
  EXPECT_TRUE(good("name\n\xE9").was_windows_1252);  // the last byte could begin a UTF-8 sequence
}

TEST_F(CsvTest, RaggedRowsAreFilledOrNoted) {
  const auto read = good("a,b,c\n1\n1,2,3,4\n1,2,3,,\n");
  ASSERT_EQ(read.table.rows(), 3U);
  EXPECT_TRUE(read.table.column(2).isMissing(0));
  EXPECT_EQ(read.ragged, (std::vector<std::uint64_t>{3}));  // empty extra fields are harmless
}

TEST_F(CsvTest, AnUnclosedQuoteIsNamedByItsLine) {
  const auto result = read("a,b\n1,2\n3,\"never\nclosed\n");
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(result.problem().code, ProblemCode::BadData);
  EXPECT_THAT(result.problem().where, testing::HasSubstr("line 3"));
}

TEST_F(CsvTest, AQuoteInsideAPlainFieldIsText) { EXPECT_EQ(cell(good("a,b\n5'2\" tall,x\n"), 0, 0), "5'2\" tall"); }

TEST_F(CsvTest, EmptyAndBinaryFilesAreProblems) {
  for (const std::string& content : {std::string(), std::string("\n\n"), std::string("PK\x03\x04rest"), std::string("a,b\n\0\1", 6)}) {
    const auto result = read(content);
    ASSERT_FALSE(result.ok());
    EXPECT_EQ(result.problem().code, ProblemCode::BadData);
    EXPECT_FALSE(result.problem().mend.empty());
  }
  Progress progress;
  EXPECT_EQ(readCsv(folder_.path() / "absent.csv", progress).problem().code, ProblemCode::NotFound);
}

TEST_F(CsvTest, HeadingsMadeUniqueAndNeverEmpty) {
  EXPECT_EQ(good("a, a ,,a\n1,2,3,4\n").table.names(), (std::vector<std::string>{"a", "a_2", "column_3", "a_3"}));
}

TEST_F(CsvTest, RowLimitStopsEarly) {
  const auto result = read("a\n1\n2\n3\n\"open", 2);
  ASSERT_OK(result);
  EXPECT_EQ(result->table.rows(), 2U);
}

TEST_F(CsvTest, StopsWhenAsked) {
  std::ofstream(folder_.path() / "f.csv") << "a\n1\n";
  std::stop_source stop;
  stop.request_stop();
  Progress progress({}, stop.get_token(), 1);
  EXPECT_EQ(readCsv(folder_.path() / "f.csv", progress).problem().code, ProblemCode::Cancelled);
}

TEST_F(CsvTest, WhatIsWrittenReadsBackTheSame) {
  Table table;
  table.add(Column::text("text, with", {"a\"b", " edge ", "line\nend", ""}));
  table.add(Column::integers("n", {1, -2, 3, 4}));
  table.add(Column::reals("x", {0.1, 1e300, std::nan(""), -0.0}));
  const std::string written = toCsv(table);
  EXPECT_EQ(written, "\"text, with\",n,x\n\"a\"\"b\",1,0.1\n\" edge \",-2,1e+300\n\"line\nend\",3,\n,4,0\n");
  EXPECT_EQ(toCsv(good(written).table), written);
  Table single;
  single.add(Column::text("only", {"", "x"}));
  EXPECT_EQ(good(toCsv(single)).table.rows(), 2U);
}

TEST_F(CsvTest, TextThatASpreadsheetCouldRunGetsAnApostrophe) {
  Table table;
  table.add(Column::text("=note", {"=1+2", "+1 555 0100", "-", "@home", "\tx", "\rx", "-71.05", "+5", "a=b", "- dog, on chain"}));
  table.add(Column::reals("n", {-1, -2, 3, 4, 5, 6, 7, 8, 9, 10}));
  EXPECT_EQ(toCsv(table), "'=note,n\n'=1+2,-1\n'+1 555 0100,-2\n'-,3\n'@home,4\n'\tx,5\n\"'\rx\",6\n-71.05,7\n+5,8\na=b,9\n\"'- dog, on chain\",10\n");
  EXPECT_EQ(csvRow(table, 0), "=1+2,-1");  // a row kept for the record stays as it stood
}

TEST_F(CsvTest, FieldsAcrossPiecesOfTheFileStayWhole) {
  // Rows of odd lengths so that quotes, line ends and two-byte letters fall on every piece border sooner or later.
  Table table;
  std::vector<std::string> words;
  for (std::size_t i = 0; i < 60'000; ++i) words.push_back(std::string(i % 57, 'x') + "\xC3\xA9\"," + std::string(i % 3, '\n') + std::to_string(i));
  table.add(Column::text("word", words));
  table.add(Column::text("same", words));
  const std::string content = toCsv(table);
  ASSERT_GT(content.size(), 4'000'000U);
  const auto read = good(content);
  EXPECT_FALSE(read.was_windows_1252);
  EXPECT_TRUE(toCsv(read.table) == content);
  std::string crlf;
  for (std::size_t i = 0; i < 400'000; ++i) crlf += std::string(i % 7 + 1, 'y') + "\r\n";
  EXPECT_EQ(good(crlf).table.rows(), 399'999U);
}

TEST_F(CsvTest, StretchesHoldTheSameRowsWhateverTheirLength) {
  std::string content = "name,note\r\n";
  for (int i = 0; i < 500; ++i) content += "\"a, \"\"b\"\"\nline two of " + std::to_string(i) + "\"," + std::string(static_cast<std::size_t>(i % 9), 'z') + (i % 11 == 0 ? ",one too many\n" : "\n") + (i % 13 == 0 ? "\n" : "");
  const CsvRead whole = good(content);
  for (const auto& [rows, bytes] : std::vector<std::pair<std::size_t, std::size_t>>{{1, 0}, {7, 0}, {0, 1}, {0, 300}, {100, 500}, {500, 0}, {501, 0}, {0, 0}}) {
    Progress progress;
    auto stretches = CsvStretches::open(folder_.path() / "file.csv");
    ASSERT_TRUE(stretches.ok());
    std::string joined;
    std::vector<std::uint64_t> lines, ragged;
    while (true) {
      auto next = stretches->next(rows, bytes, progress);
      ASSERT_TRUE(next.ok());
      if (!*next) break;
      EXPECT_TRUE(rows == 0 || (*next)->table.rows() <= rows);
      const std::string text = toCsv((*next)->table);
      joined += joined.empty() ? text : text.substr(text.find('\n') + 1);
      lines.insert(lines.end(), (*next)->table.lines.begin(), (*next)->table.lines.end());
      ragged.insert(ragged.end(), (*next)->ragged.begin(), (*next)->ragged.end());
    }
    EXPECT_EQ(joined, toCsv(whole.table)) << rows << " rows, " << bytes << " bytes";
    EXPECT_EQ(lines, whole.table.lines);
    EXPECT_EQ(ragged, whole.ragged);
    EXPECT_TRUE(stretches->ended());
  }
}

TEST_F(CsvTest, AnOpenQuoteOrMissingLineEndsDoNotFillTheMemory) {
  const auto quoted = read("a,b\n1,\"" + std::string(20'000'000, 'x'));
  ASSERT_FALSE(quoted.ok());
  EXPECT_EQ(quoted.problem().code, ProblemCode::BadData);
  EXPECT_NE(quoted.problem().text().find("line 2"), std::string::npos) << quoted.problem().text();
  std::string wide;
  for (int i = 0; i < 1'000'000; ++i) wide += "a,";
  const auto columns = read(wide);
  ASSERT_FALSE(columns.ok());
  EXPECT_NE(columns.problem().text().find("20,000 columns"), std::string::npos) << columns.problem().text();
}

TEST_F(CsvTest, StretchesStopWhereTextTurnsOutNotToBeUtf8) {
  const auto file = folder_.path() / "file.csv";
  std::ofstream(file, std::ios::binary) << "a\n" << std::string(3'000'000, 'x') << "\n\xE9\n";
  Progress progress;
  auto stretches = CsvStretches::open(file);
  ASSERT_TRUE(stretches.ok());
  while (true) {
    auto next = stretches->next(1, 0, progress);
    ASSERT_TRUE(next.ok());
    if (!*next) break;
  }
  EXPECT_TRUE(stretches->notUtf8());
  auto again = CsvStretches::open(file, true);
  ASSERT_TRUE(again.ok());
  auto all = again->next(0, 0, progress);
  ASSERT_TRUE(all.ok() && *all);
  EXPECT_EQ((*all)->table.column(0).textAt(1), "\xC3\xA9");
}

}  // namespace
}  // namespace leeward
