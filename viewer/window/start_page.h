#pragma once
/// Before a study is open: the three ways to begin, and what is being done.
#include <QWidget>

class QLabel;
class QProgressBar;
class QPushButton;

namespace leeward::window {

class Workroom;

class StartPage : public QWidget {
  Q_OBJECT

 public:
  explicit StartPage(Workroom& room, QWidget* parent = nullptr);
  void say(const QString& words);

 signals:
  void sampleAsked();
  void newAsked();
  void openAsked();

 private:
  void showBusy(bool busy);

  QLabel* message_;
  QProgressBar* bar_;
  QPushButton *sample_, *new_, *open_, *stop_;
};

}  // namespace leeward::window
