#pragma once
/// The card of premises, or of all premises of a block: who is there, what may be done, and every look with what was found.
#include <QWidget>
#include <string>
#include <vector>

#include "viewer/study/history.h"

class QLabel;
class QPushButton;

namespace leeward::window {

class RowList;
class Workroom;

class CardPage : public QWidget {
  Q_OBJECT

 public:
  explicit CardPage(Workroom& room, QWidget* parent = nullptr);
  /// The records of these premises; `title` is what a person calls the place.
  void open(const QString& title, std::vector<std::string> premises);
  /// These looks alone, by the ledger's ids: what a number is made of.
  void openLooks(const QString& title, std::vector<std::string> looks);

 signals:
  void finished();

 protected:
  void keyPressEvent(QKeyEvent* event) override;

 private:
  void read(const QString& title, study::HistoryRequest request);
  void show(const study::History& history);
  void showLook(int row);

  Workroom& room_;
  study::History history_;
  bool of_looks_ = false;
  QLabel *title_, *finding_, *animals_, *look_;
  RowList* list_;
};

}  // namespace leeward::window
