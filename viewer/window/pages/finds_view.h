#pragma once
/// Where finds gather for the looking done, as a part of the page on need: the best-known blocks with intervals, the list, what goes with it.
#include <QWidget>
#include <vector>

#include "viewer/window/workroom.h"

class QLabel;

namespace leeward::window {

class ChartView;
class RowList;
struct Row;

class FindsView : public QWidget {
  Q_OBJECT

 public:
  explicit FindsView(Workroom& room, QWidget* parent = nullptr);

  void refresh();
  /// What can't be concluded, of all that is told.
  QString cautions() const;
  QString hint(std::size_t block) const;
  Table table() const;

 private:
  Row rowOf(std::size_t block) const;
  void showBlock();
  void fillChart();

  Workroom& room_;
  std::vector<qint64> order_;  ///< rows of Findings::blocks: those named by the scan or standing out, then by finds nearby
  ChartView* chart_;
  RowList* list_;
  QLabel* explained_;
};

}  // namespace leeward::window
