#pragma once
/// Columns from a list of things, one value a thing.
#include "shared/table/table.h"

namespace leeward::test {

template <class T, class Get>
void addReal(Table& table, const char* name, const std::vector<T>& rows, Get get) {
  std::vector<double> values;
  for (const T& row : rows) values.push_back(get(row));
  table.add(Column::reals(name, values));
}

template <class T, class Get>
void addInteger(Table& table, const char* name, const std::vector<T>& rows, Get get) {
  std::vector<std::int64_t> values;
  for (const T& row : rows) values.push_back(get(row));
  table.add(Column::integers(name, values));
}

template <class T, class Get>
void addText(Table& table, const char* name, const std::vector<T>& rows, Get get) {
  Column column(name, Column::Kind::Text);
  for (const T& row : rows) {
    const std::string value = get(row);
    if (value.empty())
      column.addMissing();
    else
      column.addText(value);
  }
  table.add(std::move(column));
}

}  // namespace leeward::test
