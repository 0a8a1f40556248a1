#pragma once
/// A page that answers one question: the finding in a sentence, its chart, the list, how sure, the few controls.
///
/// A new page: a file in pages/ with a class that inherits this one, and a line in pages.cpp.
#include <QWidget>
#include <functional>

#include "shared/table/table.h"
#include "viewer/draw/themes.h"
#include "viewer/window/workroom.h"

class QLabel;
class QPushButton;
class QVBoxLayout;

namespace leeward::window {

class AnswerPage : public QWidget {
  Q_OBJECT

 public:
  /// Called on a worker thread, in the window's shade; must hold what it reads.
  using MapMaker = std::function<draw::MapTheme()>;

  AnswerPage(Workroom& room, const QString& title, QWidget* parent = nullptr);

  /// The study was opened or brought up to date: room().findings() is new.
  virtual void refresh() = 0;
  /// What the map shows for this question; none: the map stays as it is.
  virtual MapMaker map() const { return {}; }
  /// The picture is ready: takes finding, counts and method from it. Pages that say more override it.
  virtual void themed(const draw::MapTheme& theme);
  /// What is under the pointer on the map, in a sentence; "" = nothing to say.
  virtual QString hint(std::size_t block) const;
  /// What the list shows, for copying; without columns there is nothing to copy.
  virtual Table table() const { return {}; }
  /// Tab comes to the foot of the page last; called when the page has all its controls.
  void putFootLast();
  void copyTable();  ///< tab-separated, for any spreadsheet

 signals:
  void mapChanged();  ///< map() would give another picture now

 protected:
  Workroom& room() const { return room_; }
  /// Between the finding and how sure it is; charts, list and controls go here in the order of reading.
  QVBoxLayout& body() { return *body_; }
  /// A line of words with what they name behind it; Alt and the marked letter lead there.
  void addControl(const QString& words, QWidget* control);
  void setFinding(const QString& sentence);
  void setHowSure(const QString& words);
  /// Where the numbers come from, beside the study's own sources and methods.
  void setMethod(const QString& words) { method_ = words; }

 private:
  void tellSources(bool show);

  Workroom& room_;
  QVBoxLayout* body_;
  QLabel *finding_, *sure_, *sources_;
  QPushButton *ask_sources_, *copy_;
  QString method_, counted_;
};

/// "Between ..." or "Block 1017": how a person knows a block.
QString blockName(const study::Findings& findings, std::size_t row);
/// Which row of Findings::blocks each row of a table with a block_id column belongs to, -1 = none.
std::vector<qint64> blockRows(const study::Findings& findings, const Table& table);
/// "1 dog", "1,204 dogs".
QString counted(std::int64_t n, const QString& one, const QString& many);
/// "15 Jun 2025": narrow enough to stand before a row.
QString shortDay(const std::string& iso);
/// A cell for people: "–" where nothing is known.
QString cell(const Table& table, const char* column, std::size_t row, int decimals = 0);

}  // namespace leeward::window
