#pragma once
/// A study from one's own files, guided: its name, where it lies, the files with what each is taken for, and then the map.
#include <QWidget>

class QLabel;
class QLineEdit;
class QPushButton;

namespace leeward::window {

class FileTray;
class Workroom;

class NewStudyPage : public QWidget {
  Q_OBJECT

 public:
  explicit NewStudyPage(Workroom& room, QWidget* parent = nullptr);
  void begin();

 signals:
  void left();

 private:
  void make();
  void afterFiles(std::size_t taken);
  QString folder() const;

  Workroom& room_;
  QLineEdit *name_, *folder_;
  QLabel* said_;
  FileTray* tray_;
  QPushButton* make_;
  bool is_made_ = false;
};

}  // namespace leeward::window
