#pragma once
/// The page beside the map: the question in hand, what was found, what the map shows, the ranked blocks and why.
#include <optional>

#include <QWidget>

#include "viewer/draw/themes.h"

class QButtonGroup;
class QLabel;
class QListView;
class QPushButton;

namespace leeward::window {

class BlockListModel;
class LegendView;

class AnswerPage : public QWidget {
  Q_OBJECT

 public:
  explicit AnswerPage(QWidget* parent = nullptr);

  void setFindings(study::Snapshot findings);
  /// Title, finding, legend and counts of a theme.
  void showTheme(const draw::MapTheme& theme);
  /// Marks a block in the list and tells why it stands where it stands; nothing marks none.
  void select(std::optional<std::size_t> block_row);
  draw::Question question() const { return question_; }
  void chooseQuestion(draw::Question question);

 signals:
  void questionChosen(leeward::draw::Question question);
  void blockChosen(qint64 block_row);
  void settleAsked();  ///< to settle the addresses that are not clear

 private:
  void buildQuestions();

  draw::Question question_ = draw::Question::WhereNext;
  study::Snapshot findings_;
  BlockListModel* blocks_;
  QButtonGroup* questions_;
  QLabel *title_, *finding_, *because_, *counted_;
  LegendView* legend_;
  QListView* list_;
  QPushButton* settle_;
};

}  // namespace leeward::window
