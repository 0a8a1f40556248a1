#pragma once
/// What is being done, how far it is, and the way to stop it; below it the last thing that was said.
#include <QWidget>

class QLabel;
class QProgressBar;
class QPushButton;

namespace leeward::window {

class Workroom;

class JobStrip : public QWidget {
  Q_OBJECT

 public:
  explicit JobStrip(Workroom& room, QWidget* parent = nullptr);

 private:
  QLabel *doing_, *said_;
  QProgressBar* bar_;
  QPushButton* stop_;
};

}  // namespace leeward::window
