// Workbooks as spreadsheets save them, made here with libxlsxwriter.
#include <xlsxwriter.h>

#include "shared/base/files.h"
#include "shared/layer/layer.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

class WorkbookTest : public testing::Test {
 protected:
  std::string path() const { return (folder_.path() / "visits.xlsx").string(); }
  Result<Layer> read(const std::string& sheet = "") { return readLayer({path() + sheet, "", "", "", 0}, progress_); }
  TemporaryFolder folder_;
  Progress progress_;
};

TEST_F(WorkbookTest, HeadingsTextNumbersAndDates) {
  lxw_workbook* book = workbook_new(path().c_str());
  lxw_format* day = workbook_add_format(book);
  format_set_num_format(day, "yyyy-mm-dd");
  lxw_format* moment = workbook_add_format(book);
  format_set_num_format(moment, "yyyy-mm-dd hh:mm:ss");
  lxw_worksheet* sheet = workbook_add_worksheet(book, "visits");
  workbook_add_worksheet(book, "notes");  // empty: not worth a question
  int column = 0;
  for (const char* heading : {"date", "postcode", "mixed", "at", "dogs"}) worksheet_write_string(sheet, 0, static_cast<lxw_col_t>(column++), heading, nullptr);
  lxw_datetime date{2025, 3, 2, 0, 0, 0};
  lxw_datetime time{2025, 3, 2, 14, 30, 0};
  worksheet_write_datetime(sheet, 1, 0, &date, day);
  worksheet_write_string(sheet, 1, 1, "02139", nullptr);
  worksheet_write_number(sheet, 1, 2, 12, nullptr);
  worksheet_write_datetime(sheet, 1, 3, &time, moment);
  worksheet_write_number(sheet, 1, 4, 2.5, nullptr);
  worksheet_write_string(sheet, 3, 0, "31 February", nullptr);  // row 3 of the sheet stays empty
  worksheet_write_string(sheet, 3, 2, "12 Rear", nullptr);
  ASSERT_EQ(workbook_close(book), LXW_NO_ERROR);

  const auto layer = read();
  ASSERT_OK(layer);
  EXPECT_EQ(layer->name, "visits");
  EXPECT_FALSE(layer->hasGeometry());
  const Table& table = layer->table;
  EXPECT_EQ(table.names(), (std::vector<std::string>{"date", "postcode", "mixed", "at", "dogs"}));
  EXPECT_EQ(table.find("date")->textAt(0), "2025-03-02");
  EXPECT_EQ(table.find("postcode")->textAt(0), "02139");
  EXPECT_EQ(table.find("mixed")->textAt(0), "12");
  EXPECT_EQ(table.find("at")->textAt(0), "2025-03-02T14:30:00");
  EXPECT_EQ(table.find("dogs")->asReal(0), 2.5);
  const std::size_t last = table.rows() - 1;
  EXPECT_EQ(table.find("date")->textAt(last), "31 February");
  EXPECT_EQ(table.find("mixed")->textAt(last), "12 Rear");
  EXPECT_TRUE(table.find("dogs")->isMissing(last));
  EXPECT_EQ(table.lines.front(), 2U);
  EXPECT_EQ(table.lines.back(), 4U);
}

TEST_F(WorkbookTest, TwoSheetsWithRowsMustBeChosenBetween) {
  lxw_workbook* book = workbook_new(path().c_str());
  for (const char* name : {"spring", "autumn"}) {
    lxw_worksheet* sheet = workbook_add_worksheet(book, name);
    worksheet_write_string(sheet, 0, 0, "season", nullptr);
    worksheet_write_string(sheet, 1, 0, name, nullptr);
  }
  ASSERT_EQ(workbook_close(book), LXW_NO_ERROR);
  EXPECT_EQ(*layerNames(path()), (std::vector<std::string>{"spring", "autumn"}));
  const auto open = read();
  ASSERT_FALSE(open.ok());
  EXPECT_THAT(open.problem().mend, testing::HasSubstr("\"spring\", \"autumn\""));
  const auto autumn = read("#autumn");
  ASSERT_OK(autumn);
  EXPECT_EQ(autumn->table.find("season")->textAt(0), "autumn");
}

}  // namespace
}  // namespace leeward
