#include "viewer/sheets/workbook.h"

#include <xlsxwriter.h>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "viewer/sheets/paper.h"

namespace leeward::sheets {
namespace {

struct Formats {
  lxw_format* stamp;
  lxw_format* head;
  lxw_format* real;
};

/// The table from row `top` on, under a frozen head; columns as wide as their words, within reason.
void addTable(lxw_worksheet* sheet, const Table& table, lxw_row_t top, const Formats& formats) {
  for (std::size_t c = 0; c < table.width(); ++c) {
    const Column& column = table.column(c);
    const auto at = static_cast<lxw_col_t>(c);
    worksheet_write_string(sheet, top, at, column.name().c_str(), formats.head);
    std::size_t widest = column.name().size() + 2;
    for (std::size_t row = 0; row < table.rows(); ++row) {
      const auto line = static_cast<lxw_row_t>(top + 1 + row);
      if (column.isMissing(row)) continue;
      if (column.kind() == Column::Kind::Text) {
        widest = std::max(widest, column.textAt(row).size());
        worksheet_write_string(sheet, line, at, column.asText(row).c_str(), nullptr);
      } else {
        worksheet_write_number(sheet, line, at, *column.asReal(row),
                               column.kind() == Column::Kind::Real ? formats.real : nullptr);
      }
    }
    worksheet_set_column(sheet, at, at, static_cast<double>(std::min<std::size_t>(widest, 70)), nullptr);
  }
  worksheet_freeze_panes(sheet, top + 1, 0);
}

Table sourcesTable(const study::Findings& findings) {
  Column label("source", Column::Kind::Text), file("file", Column::Kind::Text), year("year", Column::Kind::Text),
      licence("licence", Column::Kind::Text);
  for (const study::SourceNote& source : findings.sources) {
    label.addText(source.label);
    file.addText(source.file);
    year.addText(source.year);
    licence.addText(source.licence);
  }
  Table table;
  for (Column* column : {&label, &file, &year, &licence}) table.add(std::move(*column));
  return table;
}

Result<void> fill(const study::Findings& findings, const std::filesystem::path& file) {
  lxw_workbook* book = workbook_new(file.c_str());
  if (book == nullptr) return Problem{ProblemCode::Io, "The workbook could not be begun", file.string(), ""};
  lxw_doc_properties properties{};
  std::string title = findings.name + ": figures of " + toIso(findings.as_of);
  properties.title = title.data();
  properties.created = static_cast<time_t>(findings.as_of.days) * 86'400;
  workbook_set_properties(book, &properties);
  Formats formats{workbook_add_format(book), workbook_add_format(book), workbook_add_format(book)};
  format_set_bold(formats.stamp);
  format_set_font_color(formats.stamp, 0xA8410F);
  format_set_bold(formats.head);
  format_set_bottom(formats.head, LXW_BORDER_THIN);
  format_set_num_format(formats.real, "0.000");

  lxw_worksheet* next = workbook_add_worksheet(book, "next");
  worksheet_write_string(next, 0, 0, kCrewStamp, formats.stamp);
  worksheet_write_string(next, 1, 0, title.c_str(), nullptr);
  addTable(next, findings.next, 3, formats);
  addTable(workbook_add_worksheet(book, "changed"), findings.changed, 0, formats);
  addTable(workbook_add_worksheet(book, "costs"), findings.costs, 0, formats);
  addTable(workbook_add_worksheet(book, "due"), findings.due, 0, formats);
  addTable(workbook_add_worksheet(book, "patterns"), findings.patterns.blocks, 0, formats);
  addTable(workbook_add_worksheet(book, "circles"), findings.patterns.circles.table, 0, formats);
  addTable(workbook_add_worksheet(book, "clusters"), findings.patterns.outlines.table, 0, formats);
  addTable(workbook_add_worksheet(book, "explained"), findings.patterns.explained, 0, formats);
  addTable(workbook_add_worksheet(book, "told"), findings.patterns.told, 0, formats);
  addTable(workbook_add_worksheet(book, "sources"), sourcesTable(findings), 0, formats);
  const lxw_error error = workbook_close(book);
  if (error != LXW_NO_ERROR)
    return Problem{ProblemCode::Io, std::string("The workbook could not be written: ") + lxw_strerror(error), file.string(), ""};
  return {};
}

/// What a sheet's name may be: 1 to 31 characters, none of []:*?/\\.
std::string sheetName(const std::string& name) {
  std::string fit;
  for (const char c : name) {
    if (isDigit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '-' || c == ' ') fit += c;
    if (fit.size() == 31) break;
  }
  return trim(fit).empty() ? "rows" : std::string(trim(fit));
}

Result<void> fillOne(const Table& table, const std::string& name, const std::filesystem::path& file) {
  lxw_workbook* book = workbook_new(file.c_str());
  if (book == nullptr) return Problem{ProblemCode::Io, "The workbook could not be begun", file.string(), ""};
  lxw_doc_properties properties{};
  properties.created = 946'684'800;  // 2000-01-01: a workbook of equal rows has equal bytes
  workbook_set_properties(book, &properties);
  Formats formats{nullptr, workbook_add_format(book), nullptr};
  format_set_bold(formats.head);
  addTable(workbook_add_worksheet(book, sheetName(name).c_str()), table, 0, formats);
  const lxw_error error = workbook_close(book);
  if (error == LXW_NO_ERROR) return {};
  return Problem{ProblemCode::Io, std::string("The workbook could not be written: ") + lxw_strerror(error), file.string(), ""};
}

Result<void> checkEnding(const std::filesystem::path& file) {
  if (lowerAscii(file.extension().string()) == ".xlsx") return {};
  return Problem{ProblemCode::InvalidArgument, "A workbook is written as .xlsx", file.string(), "Give the file the ending .xlsx"};
}

}  // namespace

Result<void> writeTableWorkbook(const Table& table, const std::string& name, const std::filesystem::path& file, bool owner_only, Progress& progress) {
  LEEWARD_TRY(checkEnding(file));
  if (table.rows() >= LXW_ROW_MAX || table.width() > LXW_COL_MAX) {
    return Problem{ProblemCode::Unsupported, "a sheet holds 1,048,575 rows of 16,384 columns at most", file.string(), "Choose .csv or .gpkg"};
  }
  LEEWARD_TRY(progress.checkStop());
  return writeBeside(
      file, [&](const std::filesystem::path& temporary) { return fillOne(table, name, temporary); }, owner_only);
}

Result<void> writeWorkbook(const study::Findings& findings, const std::filesystem::path& file, Progress& progress) {
  LEEWARD_TRY(checkEnding(file));
  LEEWARD_TRY(progress.checkStop());
  return writeBeside(
      file, [&](const std::filesystem::path& temporary) { return fill(findings, temporary); }, true);
}

}  // namespace leeward::sheets
