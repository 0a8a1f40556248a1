#include "viewer/sheets/template.h"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <xlsxwriter.h>

#include "shared/base/dates.h"
#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"

namespace leeward::sheets {
namespace {
namespace fs = std::filesystem;

constexpr lxw_row_t kPreparedRows = 5000;  ///< with lists; below them everything can still be typed
constexpr std::size_t kLongestTitle = 32, kLongestMessage = 255;  ///< of the file format

/// No longer than the format allows, and not cut within a letter.
std::string upToBytes(std::string text, std::size_t most) {
  if (text.size() <= most) return text;
  while (most > 0 && (static_cast<unsigned char>(text[most]) & 0xC0U) == 0x80U) --most;
  text.resize(most);
  return text;
}

void addRules(lxw_worksheet* sheet, lxw_col_t at, const importers::TemplateColumn& column) {
  std::string title = upToBytes(column.heading, kLongestTitle), message = upToBytes(std::string(column.meaning), kLongestMessage);
  auto choices = column.choices;
  std::vector<char*> list;
  for (auto& choice : choices) list.push_back(choice.data());
  list.push_back(nullptr);
  lxw_data_validation rule{};
  rule.validate = column.choices.empty() ? LXW_VALIDATION_TYPE_ANY : LXW_VALIDATION_TYPE_LIST;
  if (!column.choices.empty()) rule.value_list = list.data();
  rule.ignore_blank = LXW_VALIDATION_ON;
  rule.error_type = LXW_VALIDATION_ERROR_TYPE_WARNING;  // another word may be right: take-in reads many
  rule.input_title = title.data();
  rule.input_message = message.data();
  worksheet_data_validation_range(sheet, 1, at, kPreparedRows, at, &rule);
}

Result<void> writeSheet(const TemplateRequest& request, const std::vector<importers::TemplateColumn>& columns, const fs::path& file) {
  lxw_workbook* book = workbook_new(file.c_str());
  if (book == nullptr) return Problem{ProblemCode::Io, "The template could not be begun", file.string(), ""};
  lxw_doc_properties properties{};
  properties.created = 946'684'800;  // 2000-01-01: equal templates have equal bytes
  workbook_set_properties(book, &properties);
  lxw_format *head = workbook_add_format(book), *day = workbook_add_format(book), *text = workbook_add_format(book);
  format_set_bold(head);
  format_set_bottom(head, LXW_BORDER_THIN);
  format_set_num_format(day, "yyyy-mm-dd");
  format_set_num_format(text, "@");  // 00123 stays a postal code, 3-4 no date
  lxw_worksheet* sheet = workbook_add_worksheet(book, importers::kindName(request.kind));
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const auto& column = columns[c];
    const auto at = static_cast<lxw_col_t>(c);
    const bool is_day = column.type == importers::FieldType::Date;
    const bool is_number = column.type == importers::FieldType::Count || column.type == importers::FieldType::Number || column.type == importers::FieldType::Longitude || column.type == importers::FieldType::Latitude;
    worksheet_write_string(sheet, 0, at, column.heading.c_str(), head);
    worksheet_set_column(sheet, at, at, std::max(9.0, static_cast<double>(column.heading.size()) + 2), is_day ? day : is_number ? nullptr : text);
    addRules(sheet, at, column);
    if (!request.with_example || column.example.empty()) continue;
    const auto date = is_day ? parseIsoDate(column.example) : std::nullopt;
    if (date) worksheet_write_number(sheet, 1, at, date->days - makeDate(1899, 12, 30)->days, day);
    else worksheet_write_string(sheet, 1, at, column.example.c_str(), text);
  }
  worksheet_freeze_panes(sheet, 1, 0);
  const lxw_error error = workbook_close(book);
  if (error == LXW_NO_ERROR) return {};
  return Problem{ProblemCode::Io, std::string("The template could not be written: ") + lxw_strerror(error), file.string(), ""};
}

std::string csvOf(const TemplateRequest& request, const std::vector<importers::TemplateColumn>& columns) {
  std::vector<std::string> headings, example;
  for (const auto& column : columns) headings.push_back(csvField(column.heading)), example.push_back(csvField(column.example));
  // The mark tells a spreadsheet that accents are UTF-8.
  return "\xEF\xBB\xBF" + join(headings, ",") + "\n" + (request.with_example ? join(example, ",") + "\n" : "");
}

}  // namespace

Result<void> writeTemplate(const TemplateRequest& request, Progress& progress) {
  const auto columns = importers::templateColumns(request.kind, request.language);
  if (columns.empty()) return Problem{ProblemCode::InvalidArgument, fmt::format("there is no template for {}", importers::kindName(request.kind)), "", "Choose visits, sightings or stock"};
  LEEWARD_TRY(progress.checkStop());
  const std::string ending = lowerAscii(request.file.extension().string());
  if (ending == ".csv") return writeFile(request.file, csvOf(request, columns), false);
  if (ending != ".xlsx") return Problem{ProblemCode::InvalidArgument, "A template is written as .xlsx or .csv", request.file.string(), "Give the file one of these endings"};
  return writeBeside(request.file, [&](const fs::path& temporary) { return writeSheet(request, columns, temporary); }, false);
}

}  // namespace leeward::sheets
