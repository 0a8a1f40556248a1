#include "viewer/window/check_grid.h"

#include <QHeaderView>
#include <QKeyEvent>

#include "viewer/study/crew_template.h"
#include "viewer/window/style.h"

namespace leeward::window {

CheckGrid::CheckGrid(QWidget* parent) : QTableWidget(parent) {
  setObjectName("checks");
  setAccessibleName(tr("Condition check, as found and as left"));
  setAccessibleDescription(tr("M met, U unmet, N not seen, A all others met"));
  const auto& items = importers::conditionItems();
  setRowCount(static_cast<int>(items.size()));
  setColumnCount(2);
  setHorizontalHeaderLabels({tr("as found"), tr("as left")});
  QStringList names;
  for (const auto item : items) names += QString::fromUtf8(item.data(), static_cast<qsizetype>(item.size())).replace(QLatin1Char('_'), QLatin1Char(' '));
  setVerticalHeaderLabels(names);
  setFont(fontFor(Text::Body));
  horizontalHeader()->setFont(fontFor(Text::Small));
  verticalHeader()->setFont(fontFor(Text::Small));
  horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
  const int tall = QFontMetrics(fontFor(Text::Body)).height() + 4;
  verticalHeader()->setDefaultSectionSize(tall);
  verticalHeader()->setMinimumSectionSize(tall);
  setMinimumHeight(tall * (rowCount() + 2));
  setEditTriggers(QAbstractItemView::NoEditTriggers);
  setTabKeyNavigation(false);  // Tab leads on, arrows walk within
  setShowGrid(true);
  for (int row = 0; row < rowCount(); ++row) {
    for (int column = 0; column < 2; ++column) setItem(row, column, new QTableWidgetItem);
  }
}

void CheckGrid::set(int row, int column, const QString& state) { item(row, column)->setText(state); }

void CheckGrid::forget() {
  for (int row = 0; row < rowCount(); ++row) set(row, 0, {}), set(row, 1, {});
  setCurrentCell(0, 0);
}

std::vector<std::pair<std::string, std::string>> CheckGrid::said() const {
  std::vector<std::pair<std::string, std::string>> said;
  const auto& items = importers::conditionItems();
  for (int column = 0; column < 2; ++column) {
    for (int row = 0; row < rowCount(); ++row) {
      const QString state = item(row, column)->text();
      if (!state.isEmpty()) said.emplace_back((column == 1 ? "left_" : "") + std::string(items[static_cast<std::size_t>(row)]), state.toStdString());
    }
  }
  return said;
}

void CheckGrid::keyPressEvent(QKeyEvent* event) {
  const int row = std::max(0, currentRow()), column = std::max(0, currentColumn());
  const auto mark = [&](const char* state) {
    set(row, column, QLatin1String(state));
    if (row + 1 < rowCount()) setCurrentCell(row + 1, column);
  };
  switch (event->key()) {
    case Qt::Key_M: return mark("met");
    case Qt::Key_U: return mark("unmet");
    case Qt::Key_N: return mark("not seen");
    case Qt::Key_Delete:
    case Qt::Key_Backspace: return set(row, column, {});
    case Qt::Key_A:
      for (int r = 0; r < rowCount(); ++r) {
        if (item(r, column)->text().isEmpty()) set(r, column, QStringLiteral("met"));
      }
      return;
    default: QTableWidget::keyPressEvent(event);
  }
}

}  // namespace leeward::window
