#pragma once
/// Files that are to come in: what each looks like, with a few of its values, what it is to be taken as, and what became of it.
#include <QStringList>
#include <QWidget>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "viewer/study/propose.h"

class QComboBox;
class QLabel;
class QPushButton;
class QVBoxLayout;

namespace leeward::window {

class Workroom;

/// One file: a guess that a person can correct.
class FileCard : public QWidget {
  Q_OBJECT

 public:
  explicit FileCard(const study::Proposal& proposal, QWidget* parent = nullptr);
  const study::Proposal& proposal() const { return proposal_; }
  std::string kind() const;    ///< "" = left aside
  std::string answer() const;  ///< what a person said to the question that the file raised; "" = nothing
  void tell(const QString& words, bool is_problem);
  /// Asks for what only a person can say of this file: a temperature's unit, what a heat layer measures, the scale of a score.
  void ask(const QString& question, const std::vector<std::pair<QString, std::string>>& answers);
  bool isTaken() const { return is_taken_; }
  void setTaken() { is_taken_ = true; }

 private:
  study::Proposal proposal_;
  QComboBox *kind_, *answer_;
  QLabel *why_, *said_;
  bool is_taken_ = false;
};

/// What was done with a file, as far as it can be taken back.
struct TakenFile {
  std::string name, kind;
  std::string import;             ///< of a crew file; "" else
  std::string settings_before;    ///< study.toml as it was, of a public layer
};

class FileTray : public QWidget {
  Q_OBJECT

 public:
  explicit FileTray(Workroom& room, QWidget* parent = nullptr);
  /// Looks at files (or the files of folders) and shows what they are.
  void add(const QStringList& paths);
  bool hasOpen() const;  ///< files that are to be taken and are not yet
  /// Takes in what is not left aside, public layers first; stopped or done, `done` gets what went in.
  void takeInto(const std::filesystem::path& folder, std::function<void(std::vector<TakenFile>)> done);

 signals:
  void changed();

 protected:
  void dragEnterEvent(QDragEnterEvent* event) override;
  void dropEvent(QDropEvent* event) override;

 private:
  void pick(bool folder);
  void show(const std::vector<study::Proposal>& proposals);

  Workroom& room_;
  QVBoxLayout* cards_layout_;
  std::vector<FileCard*> cards_;
};

/// Local files of a drag; empty for anything else.
QStringList filesOf(const class QMimeData& dragged);

}  // namespace leeward::window
