#include "tests/unit/importers/files.h"

#include <bit>
#include <fstream>

#include <xlsxwriter.h>

namespace leeward::importers::test {
namespace {

void put32(std::string& out, std::uint32_t value, bool big) {
  for (int i = 0; i < 4; ++i) out += static_cast<char>(value >> (big ? 24 - 8 * i : 8 * i) & 0xFF);
}
void put16(std::string& out, std::uint32_t value) { out += static_cast<char>(value & 0xFF), out += static_cast<char>(value >> 8 & 0xFF); }
void putDouble(std::string& out, double value) {
  const auto bits = std::bit_cast<std::uint64_t>(value);
  put32(out, static_cast<std::uint32_t>(bits), false);
  put32(out, static_cast<std::uint32_t>(bits >> 32), false);
}

std::string shapeHeader(std::uint32_t words) {
  std::string out;
  put32(out, 9994, true);
  out.append(20, '\0');
  put32(out, words, true);
  put32(out, 1000, false);
  put32(out, 5, false);  // polygon
  for (const double edge : {0.0, 0.0, 10.0, 10.0, 0.0, 0.0, 0.0, 0.0}) putDouble(out, edge);
  return out;
}

}  // namespace

std::string Folder::file(const std::string& name, std::string_view content) const {
  std::ofstream(path(name), std::ios::binary) << content;
  return path(name);
}

std::string Folder::workbook(const std::string& name, const std::vector<std::vector<std::string>>& rows) const {
  lxw_workbook* book = workbook_new(path(name).c_str());
  lxw_worksheet* sheet = workbook_add_worksheet(book, nullptr);
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      const std::string& cell = rows[r][c];
      const auto row = static_cast<lxw_row_t>(r);
      const auto column = static_cast<lxw_col_t>(c);
      if (cell.starts_with('=')) worksheet_write_number(sheet, row, column, std::stod(cell.substr(1)), nullptr);
      else if (!cell.empty()) worksheet_write_string(sheet, row, column, cell.c_str(), nullptr);
    }
  }
  workbook_close(book);
  return path(name);
}

std::string Folder::shapefile(const std::string& stem) const {
  std::string polygon;
  put32(polygon, 5, false);
  for (const double edge : {0.0, 0.0, 10.0, 10.0}) putDouble(polygon, edge);
  put32(polygon, 1, false);
  put32(polygon, 5, false);
  put32(polygon, 0, false);
  for (const double at : {0.0, 0.0, 0.0, 10.0, 10.0, 10.0, 10.0, 0.0, 0.0, 0.0}) putDouble(polygon, at);
  const auto words = static_cast<std::uint32_t>(polygon.size() / 2);
  std::string shp = shapeHeader(50 + 4 + words);
  put32(shp, 1, true);
  put32(shp, words, true);
  file(stem + ".shp", shp + polygon);
  std::string shx = shapeHeader(50 + 4);
  put32(shx, 50, true);
  put32(shx, words, true);
  file(stem + ".shx", shx);
  std::string dbf = "\x03\x7D\x01\x01";
  put32(dbf, 1, false);
  put16(dbf, 65);  // header: 32 + one field of 32 + end
  put16(dbf, 16);
  dbf.append(20, '\0');
  dbf += std::string("GEOID\0\0\0\0\0\0C", 12);
  dbf.append(4, '\0');
  dbf += '\x0F';  // length 15
  dbf.append(15, '\0');
  dbf += '\x0D';
  dbf += " 390170101001000";
  return file(stem + ".dbf", dbf + '\x1A'), path(stem + ".shp");
}

StudyFrame frame() {
  StudyFrame study;
  study.lon_lat = {-84.7, 39.3, -84.5, 39.5};
  study.today = *makeDate(2025, 6, 30);
  return study;
}

RefusedRow refusedAt(const RowReport& report, std::uint64_t line) {
  for (const RefusedRow& row : report.refused) {
    if (row.line == line) return row;
  }
  return {};
}

bool remarks(const RowReport& report, std::string_view words) {
  return std::ranges::any_of(report.remarks, [&](const std::string& remark) { return remark.find(words) != std::string::npos; });
}

}  // namespace leeward::importers::test
