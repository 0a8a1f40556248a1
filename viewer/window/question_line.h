#pragma once
/// The questions as words that run like a line of text; the one in hand is underlined.
#include <QWidget>
#include <vector>

class QPushButton;

namespace leeward::window {

class QuestionLine : public QWidget {
  Q_OBJECT

 public:
  explicit QuestionLine(QWidget* parent = nullptr);
  void setChosen(int index);
  /// What may stand behind the questions: the button for the window's look.
  void addLast(QPushButton* button);
  bool hasHeightForWidth() const override { return true; }
  int heightForWidth(int width) const override { return flow(width, false); }
  QSize sizeHint() const override;

 signals:
  void chosen(int index);

 protected:
  void resizeEvent(QResizeEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;

 private:
  int flow(int width, bool place) const;  ///< height used

  std::vector<QPushButton*> buttons_;
};

}  // namespace leeward::window
